"""What is known about a case when the urgency of its work is judged."""

from diagnostics.inference.vocabulary import Degree
from diagnostics.models import Case, Complaint, Sighting
from plant.models import Conveyor
from workorders.urgency import Trouble


def trouble_of_case(case: Case) -> Trouble:
    how_bad = Complaint.objects.filter(case=case, withdrawn_at__isnull=True).values_list(
        "how_bad", flat=True
    )
    return Trouble(
        how_bad=frozenset(how_bad),
        worst_offset_mm=_worst_offset_mm(case),
        clearance_mm=case.conveyor.clearance_mm,
        carries=case.conveyor.carries,
    )


def trouble_of_conveyor(conveyor: Conveyor) -> Trouble:
    """For work that no case asked for: nothing was seen and nobody complained."""
    return Trouble(frozenset(), None, conveyor.clearance_mm, conveyor.carries)


def _worst_offset_mm(case: Case) -> float | None:
    """Of the last walk-down in which somebody saw something."""
    seen = (
        Sighting.objects.filter(
            walk_down__case=case, taken_back_at__isnull=True, not_seen_reason=""
        )
        .order_by("-walk_down__started_at", "-walk_down_id")
        .values_list("walk_down_id", "offset_mm", "degree")
    )
    last = [one for one in seen if one[0] == seen[0][0]] if seen else []
    return max((_distance_mm(*one[1:], case.conveyor) for one in last), default=None)


def _distance_mm(offset_mm: float | None, degree: str, conveyor: Conveyor) -> float:
    if offset_mm is not None:
        return abs(offset_mm)
    return Degree(degree).share * conveyor.clearance_mm
