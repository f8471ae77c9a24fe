"""What is known about a case when the urgency of its work is judged."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from diagnostics.inference.vocabulary import Degree
from diagnostics.models import Case, Complaint, Sighting
from plant.loop.vocabulary import Consequence, Side
from plant.models import Conveyor
from workorders.models import WorkOrder
from workorders.planning.offset_trend import OffsetTrend, offset_trend
from workorders.urgency import Judged, Trouble, judge_urgency

_DAY_S = 86_400.0
# Looks that far back say how it was, not how it goes.
_MOST_LOOKS = 2000


@dataclass(frozen=True)
class _Look:
    walk_id: int
    station: str
    load: str
    at: datetime
    offset_mm: float


def judged_now(order: WorkOrder) -> Judged:
    """How soon the site would say today; no more than three queries."""
    if order.case is None:
        return judge_urgency(trouble_of_conveyor(order.conveyor))
    order.case.conveyor = order.conveyor
    return judge_urgency(trouble_of_case(order.case))


def says_something_new(order: WorkOrder, judged: Judged) -> bool:
    """Other reasons, or another urgency where no person has set it."""
    if list(judged.reasons) != order.urgency_reasons:
        return True
    return not order.urgency_why and judged.urgency != order.urgency


def trouble_of_case(case: Case) -> Trouble:
    """Two queries."""
    said = list(
        Complaint.objects.filter(case=case, withdrawn_at__isnull=True).values_list(
            "how_bad", "people_near"
        )
    )
    looks = _looks_of(case)
    last = [one for one in looks if one.walk_id == looks[0].walk_id] if looks else []
    worst = max(last, key=lambda one: abs(one.offset_mm), default=None)
    return Trouble(
        how_bad=frozenset(how_bad for how_bad, _people in said),
        worst_offset_mm=abs(worst.offset_mm) if worst else None,
        clearance_mm=case.conveyor.clearance_mm,
        carries=case.conveyor.carries,
        consequence=_consequence(case.conveyor),
        people_near=frozenset(people for _how_bad, people in said if people),
        trend=_trend(looks, worst, case.conveyor) if worst else None,
    )


def trouble_of_conveyor(conveyor: Conveyor) -> Trouble:
    """For work that no case asked for: nothing was seen and nobody complained."""
    return Trouble(
        frozenset(), None, conveyor.clearance_mm, conveyor.carries, _consequence(conveyor)
    )


def _consequence(conveyor: Conveyor) -> Consequence | None:
    return Consequence(conveyor.consequence) if conveyor.consequence else None


def _looks_of(case: Case) -> list[_Look]:
    """Of walk-downs in which somebody saw something, the last walk-down first; right positive."""
    seen = (
        Sighting.objects.filter(
            walk_down__case=case, taken_back_at__isnull=True, not_seen_reason=""
        )
        .order_by("-walk_down__started_at", "-walk_down_id", "pk")
        .values_list("walk_down_id", "station", "load", "seen_at", "offset_mm", "degree", "side")
    )
    return [
        _Look(walk_id, station, load, at, _offset_mm(offset_mm, degree, side, case.conveyor))
        for walk_id, station, load, at, offset_mm, degree, side in seen[:_MOST_LOOKS]
    ]


def _offset_mm(offset_mm: float | None, degree: str, side: str, conveyor: Conveyor) -> float:
    if offset_mm is not None:
        return offset_mm
    size_mm = Degree(degree).share * conveyor.clearance_mm
    return size_mm * Side(side).sign if side else size_mm


def _trend(looks: Sequence[_Look], worst: _Look, conveyor: Conveyor) -> OffsetTrend:
    """At the station that is worst now, from walk-down to walk-down, toward the side it is off."""
    sign = 1 if worst.offset_mm >= 0 else -1
    by_walk: dict[int, list[_Look]] = defaultdict(list)
    for one in looks:
        if (one.station.casefold(), one.load) == (worst.station.casefold(), worst.load):
            by_walk[one.walk_id].append(one)
    # One look of each walk-down, the last: several within minutes are one time.
    seen = [max(rows, key=lambda one: one.at) for rows in by_walk.values()]
    return offset_trend(
        [(one.at.timestamp() / _DAY_S, sign * one.offset_mm) for one in seen],
        conveyor.clearance_mm,
        now_d=max(one.at for one in looks).timestamp() / _DAY_S,
    )
