"""Whether a belt runs further off from one look to the next, and when its edge would touch.

A straight line through what was seen at one place, held against the edge clearance as wear is held
against its limit (`wear.py`). An eye is off by centimetres: a pace is called one only where even
its slow end grows.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from workorders.planning.readings import Direction, Limit, Reading
from workorders.planning.wear import WearState, wear_of

# Two looks make a difference, three a line; common sense.
FEWEST_LOOKS = 3
# Error of one look: the smallest of those the engine averages over (12, 18 and 25 mm), since one
# place is looked at by much the same eyes. Engineering judgement, to be calibrated.
EYE_MM = 12.0
# Both ends of the pace hold with 9 in 10.
_LEVEL = 0.80


class Pace(StrEnum):
    TOO_FEW = "too_few"
    UNCLEAR = "unclear"
    GROWING = "growing"
    EASING = "easing"


@dataclass(frozen=True)
class OffsetTrend:
    """How the offset goes.

    Attributes
    ----------
    pace : Pace
    looks : int
        At different times.
    mm_per_week : float or None
        Growth, positive away from the centre; None with too few looks. [mm/week]
    days_left : float or None
        Until the edge touches, by the line, from now; None unless growing. [d]
    least_days_left : float or None
        The earliest of the range, not before now. [d]
    """

    pace: Pace
    looks: int
    mm_per_week: float | None = None
    days_left: float | None = None
    least_days_left: float | None = None


def offset_trend(
    looks: Sequence[tuple[float, float]], clearance_mm: float, *, now_d: float
) -> OffsetTrend:
    """Fit what was seen at one place over time.

    Parameters
    ----------
    looks : sequence of (float, float)
        When it was seen [d] and how far from the centre line, any one side positive [mm].
    clearance_mm : float
        How far the belt can run before its edge touches, > 0. [mm]
    now_d : float
        From when on days are left, not before any look; the last look, say. [d]

    Returns
    -------
    OffsetTrend

    Raises
    ------
    ValueError
        The clearance is not above 0 mm, a number is not finite or a look is after now.

    Notes
    -----
    Least squares with a known error of the eye; limits of the pace and of the day by Fieller, as
    in `wear.wear_of`.
    """
    if not clearance_mm > 0:
        raise ValueError(f"clearance_mm must be > 0 mm, got {clearance_mm!r}")
    readings = [Reading(at, offset_mm) for at, offset_mm in looks]
    times = len({at for at, _offset_mm in looks})
    limit = Limit(clearance_mm, Direction.RISES)
    found = wear_of(readings, limit, now=now_d, reading_error=EYE_MM, level=_LEVEL)
    if times < FEWEST_LOOKS or found.rate is None:
        return OffsetTrend(Pace.TOO_FEW, times)
    slow, fast = found.rate_lower, found.rate_upper
    pace = Pace.UNCLEAR
    if slow is not None and slow > 0:
        pace = Pace.GROWING
    elif fast is not None and fast < 0:
        pace = Pace.EASING
    weekly = 7 * found.rate
    if pace is not Pace.GROWING or found.state is not WearState.WEARING or found.met_at is None:
        return OffsetTrend(pace, times, weekly)
    least = found.met_lower
    return OffsetTrend(
        pace,
        times,
        weekly,
        days_left=max(0.0, found.met_at - now_d),
        least_days_left=None if least is None else max(0.0, least - now_d),
    )
