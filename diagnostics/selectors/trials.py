"""Trials of a draft as pages ask for them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, QuerySet

from diagnostics import knowledge_files
from diagnostics.edition_states import EditionState
from diagnostics.knowledge_comparison import Kind
from diagnostics.knowledge_digest import digest_of
from diagnostics.models import Case, KnowledgeEdition, KnowledgeTrial, TriedCase
from diagnostics.selectors import base_rates, editions, shelf

# A worker speaks every second or so; after this long a reader is told that it fell silent.
_PATIENCE = timedelta(seconds=30)


def trials() -> QuerySet[KnowledgeTrial]:
    """With what their pages name, but without what the editions say."""
    rows = KnowledgeTrial.objects.select_related("edition__plant", "against", "asked_by")
    return rows.defer("edition__contents", "against__contents")


@dataclass(frozen=True)
class Newest:
    """Of one draft: the trial that was done last, and the one that is owed; either may be None."""

    tried: KnowledgeTrial | None
    owed: KnowledgeTrial | None


def newest_of(edition: KnowledgeEdition) -> Newest:
    mine = trials().filter(edition=edition).order_by("-asked_at", "-pk")
    return Newest(
        tried=mine.filter(state=KnowledgeTrial.State.TRIED).first(),
        owed=mine.filter(state=KnowledgeTrial.State.TO_TRY).first(),
    )


def others_of(one: KnowledgeTrial) -> QuerySet[KnowledgeTrial]:
    """The other trials of the same draft, the newest first."""
    return trials().filter(edition=one.edition_id).exclude(pk=one.pk)


def has_draft_changed(one: KnowledgeTrial) -> bool:
    """Whether the draft says something else than what was tried."""
    return one.digest != one.edition.digest


def has_base_changed(one: KnowledgeTrial) -> bool:
    """Whether something else is in force than what it was tried against."""
    if not one.edition.is_draft:
        return False
    standing = KnowledgeEdition.objects.filter(
        plant=one.edition.plant_id, state=EditionState.IN_FORCE.value
    )
    today = standing.values_list("digest", flat=True).first()
    return one.against_digest != (today or digest_of(knowledge_files.documents()))


def is_silent(one: KnowledgeTrial, now: datetime) -> bool:
    """Whether whoever works at it has not been heard of for longer than usual."""
    return one.worked_at is not None and one.worked_at < now - _PATIENCE


def confirmed_count(plant_id: int) -> int:
    cases = Case.objects.filter(conveyor__plant=plant_id)
    return base_rates.confirmed_in(cases).count()


def counts_by_outcome(one: KnowledgeTrial) -> dict[str, int]:
    rows = one.cases.order_by().values_list("outcome").annotate(Count("pk"))
    return dict(rows)


def cases_of(one: KnowledgeTrial, outcome: str = "") -> QuerySet[TriedCase]:
    """Those that flip and those left out, right to wrong first; with `outcome` only such."""
    rows = one.cases.select_related("case__conveyor").order_by("place")
    return rows.filter(outcome=outcome) if outcome else rows


def cause_names(edition: KnowledgeEdition) -> dict[str, str]:
    """By slug, as the draft says, else what is in force, else the installed files."""
    today = shelf.documents_of(edition.plant_id)
    return editions.names_in(knowledge_files.documents(), today, edition.contents)


def new_causes(edition: KnowledgeEdition) -> Sequence[str]:
    """Names of causes that the draft adds: nobody asked old cases about them."""
    added = edition.changes.filter(kind=Kind.CAUSE.value, before__isnull=True)
    return list(added.order_by("slug").values_list("after__name", flat=True))
