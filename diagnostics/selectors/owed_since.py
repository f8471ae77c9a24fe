"""Since when the oldest piece of work of each sweep of this room is owed."""

from datetime import datetime

from diagnostics.models import Case, FaultReckoning, KnowledgeTrial, SearchOwed
from plant.owed import Oldest
from plant.selectors.owed_since import oldest_of


def _diagnoses() -> datetime | None:
    return oldest_of(Case.objects.owing_diagnosis(), "diagnosis_owed_at")


def _search() -> datetime | None:
    return oldest_of(SearchOwed.objects.all(), "owed_at")


def _trials() -> datetime | None:
    return oldest_of(KnowledgeTrial.objects.owed(), "asked_at")


def _faults() -> datetime | None:
    return oldest_of(FaultReckoning.objects.owed(), "owed_at")


BY_SWEEP: dict[str, Oldest] = {
    "diagnoses": _diagnoses,
    "search": _search,
    "trials of drafts": _trials,
    "recurring faults": _faults,
}
