"""Reckoned faults as rows, so that pages can be looked at without reckoning anything."""

from datetime import date, timedelta
from typing import Any

from diagnostics.models import BeltFaults, FaultReckoning
from diagnostics.recurrence.faults.detail import BeltDetail, FailedMend, TriedMend
from plant.models import Conveyor, Plant
from tests.diagnostics.factories import NOW

SQUARE, REPLACE = "square-return-idlers", "replace-return-roll"


def make_reckoning(plant: Plant, **fields: Any) -> FaultReckoning:
    """The usual one of a plant, reckoned at NOW."""
    defaults = {
        "span": FaultReckoning.Span.USUAL.value,
        "first_on": date(2025, 5, 4),
        "last_on": date(2026, 11, 2),
        "reckoned_at": NOW,
        "looked_at": NOW,
        "progress": 1.0,
        "is_usual": True,
    }
    return FaultReckoning.objects.create(plant=plant, **{**defaults, **fields})


def make_faults(
    reckoning: FaultReckoning, conveyor: Conveyor, detail: BeltDetail | None = None, **fields: Any
) -> BeltFaults:
    """Six cases of return idlers, two of them repeats, with everything known."""
    defaults = {
        "events": 6,
        "repeats": 2,
        "lost_hours": 14.5,
        "lost_hours_unsaid": 0,
        "exposure": 548.0,
        "rate": 4.0,
        "shrunk": 3.1,
        "lower": 1.6,
        "upper": 5.2,
        "probability_worse": 0.87,
        "trend": 1,
        "trend_p": 0.02,
        "trend_shape": 1.8,
        "course": [0, 1, 0, 2, 3],
        "leading_family": "return_idler",
        "leading_events": 4,
    }
    filled = {**defaults, **fields}
    known = min(filled["leading_events"], filled["events"])
    families = (("return_idler", known), ("", filled["events"] - known))
    told = detail or make_detail(counted=filled["events"], families=families)
    return BeltFaults.objects.create(
        reckoning=reckoning, conveyor=conveyor, detail=told.as_json(), **filled
    )


def make_detail(**fields: Any) -> BeltDetail:
    return BeltDetail(
        **{"counted": 6, "families": (("return_idler", 4), ("loading", 1), ("", 1)), **fields}
    )


def failed(method: str = SQUARE, *, times: int = 2, **fields: Any) -> dict[str, Any]:
    """Fields of a detail: a mend of the leading family that came back so many times."""
    name = "Square return idlers"
    mend = {
        "case": "LT-C-0008",
        "earlier": "LT-C-0007",
        "back_on": (NOW - timedelta(days=9)).date().isoformat(),
        "days_held": 43,
        "order": "LT-W-0009",
        "title": name,
        "method": method,
        "is_same_place": True,
    }
    return {
        "failed": (FailedMend(**{**mend, **fields}),),
        "mends": (TriedMend(method, name, times, times),),
    }
