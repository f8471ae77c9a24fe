"""What a diagnosis was made from, and what came in since the one before it."""

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from diagnostics.inference.arrivals import arrivals_between
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.diagnosis import class_probabilities
from diagnostics.inference.evidence import Evidence
from diagnostics.models import Diagnosis, Finding, Sighting, TimedLook
from diagnostics.selectors.evidence import Recorded, seen_in


def basis_of(recorded: Recorded) -> dict[str, list[Any]]:
    """Keys of the rows, as a diagnosis keeps them."""
    return {
        "sightings": [row.pk for row in recorded.sightings],
        "timed_looks": [row.pk for row in recorded.timed_looks],
        "findings": [row.pk for row in recorded.findings],
        "remarks": sorted(recorded.remarks),
    }


def moved_since(
    earlier: Diagnosis, evidence: Evidence, knowledge: Knowledge
) -> list[dict[str, Any]]:
    """New evidence by kind with what it moved; empty when the earlier one kept no basis."""
    if not earlier.basis:
        return []
    arrivals = arrivals_between(
        replace(evidence, **seen_in(_recorded(earlier.basis))),
        evidence,
        lambda one: class_probabilities(one, knowledge),
        {slug: cause.name for slug, cause in knowledge.causes.items()},
    )
    return [asdict(one) for one in arrivals]


def _recorded(basis: Mapping[str, list[Any]]) -> Recorded:
    """The rows as they were; rows are never changed, only taken back."""
    return Recorded(
        sightings=list(Sighting.objects.filter(pk__in=basis["sightings"]).order_by("position_m")),
        # Diagnoses made before there were timed looks name none.
        timed_looks=list(
            TimedLook.objects.filter(pk__in=basis.get("timed_looks", [])).order_by(
                "started_at", "pk"
            )
        ),
        findings=list(Finding.objects.filter(pk__in=basis["findings"])),
        remarks=frozenset(basis["remarks"]),
    )
