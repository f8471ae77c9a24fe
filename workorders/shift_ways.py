"""What can be shifted on a conveyor, which way, and what shifts add up to; pure.

Signs are those of `diagnostics/mechanics/__init__.py`: along the belt positive with the local
direction of belt travel, on both runs; up positive; across positive to the right looking in
carrying travel. An end moved in or out is positive outward, away from the middle of the belt.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Moved(StrEnum):
    FRAME = "frame"
    HANGER = "hanger"
    ROLL = "roll"
    BEARING = "bearing"
    TAKE_UP = "take_up"
    STRUCTURE = "structure"
    CHUTE = "chute"


class End(StrEnum):
    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


class Way(StrEnum):
    WITH_TRAVEL = "with_travel"
    AGAINST_TRAVEL = "against_travel"
    UP = "up"
    DOWN = "down"
    OUTWARD = "outward"
    INWARD = "inward"
    TO_RIGHT = "to_right"
    TO_LEFT = "to_left"

    @property
    def reverse(self) -> "Way":
        return _REVERSE[self]

    @property
    def sign(self) -> int:
        """+1 for the first of each pair, -1 for its reverse."""
        return 1 if self in _POSITIVE else -1

    @property
    def forward(self) -> "Way":
        """The positive way of its pair."""
        return self if self in _POSITIVE else self.reverse


_POSITIVE = (Way.WITH_TRAVEL, Way.UP, Way.OUTWARD, Way.TO_RIGHT)
_REVERSE = {
    Way.WITH_TRAVEL: Way.AGAINST_TRAVEL,
    Way.AGAINST_TRAVEL: Way.WITH_TRAVEL,
    Way.UP: Way.DOWN,
    Way.DOWN: Way.UP,
    Way.OUTWARD: Way.INWARD,
    Way.INWARD: Way.OUTWARD,
    Way.TO_RIGHT: Way.TO_LEFT,
    Way.TO_LEFT: Way.TO_RIGHT,
}
# One end goes in or out; the whole of it goes left or right.
OF_ONE_END = frozenset({Way.OUTWARD, Way.INWARD})
OF_THE_WHOLE = frozenset({Way.TO_RIGHT, Way.TO_LEFT})

MOST_MM = 500.0
# More than this at once is asked about: a first step is 2 to 3 mm at an idler, a pulley is squared
# by what measuring shows. Engineering judgement. [mm]
ASKED_ABOVE_MM = {
    Moved.FRAME: 20.0,
    Moved.HANGER: 20.0,
    Moved.ROLL: 20.0,
    Moved.BEARING: 50.0,
    Moved.TAKE_UP: 200.0,
    Moved.STRUCTURE: 200.0,
    Moved.CHUTE: 300.0,
}


@dataclass(frozen=True)
class Shift:
    """`mm` is above 0; which way says `way`."""

    station: str
    moved: Moved
    end: End
    way: Way
    mm: float


@dataclass(frozen=True)
class Sum:
    """What the standing shifts of one end of one thing come to; `mm` is never below 0."""

    station: str
    moved: Moved
    end: End
    way: Way
    mm: float
    count: int


def ways_fit(end: End, way: Way) -> bool:
    """Whether this end can go this way."""
    if way in OF_ONE_END:
        return end is not End.BOTH
    return end is End.BOTH if way in OF_THE_WHOLE else True


def is_unlikely(moved: Moved, mm: float) -> bool:
    return mm > ASKED_ABOVE_MM[moved]


def sums_of(shifts: Iterable[Shift]) -> tuple[Sum, ...]:
    """What the shifts come to at each station, in the order in which each is met first.

    Parameters
    ----------
    shifts : iterable of Shift
        Those that stand: neither undone nor written down by mistake.

    Returns
    -------
    tuple of Sum
        One for each thing, end and direction that was shifted; 0 mm where shifts cancel out.
    """
    totals: dict[tuple[str, Moved, End, Way], list[float]] = defaultdict(list)
    for one in shifts:
        totals[one.station, one.moved, one.end, one.way.forward].append(one.way.sign * one.mm)
    found = []
    for (station, moved, end, forward), each in totals.items():
        # To the thousandth: tenths typed one by one do not add up exactly in floats.
        total = round(sum(each), 3)
        way = forward if total >= 0 else forward.reverse
        found.append(Sum(station, moved, end, way, abs(total), len(each)))
    return tuple(found)


def skew_mm(shifts: Iterable[Shift]) -> float:
    """By how much the right end came ahead of the left one, local travel positive. [mm]

    Notes
    -----
    Identity: right end's shift along travel less that of the left end. Positive, a roll drives the
    belt to the left.
    """
    along = [one for one in shifts if one.way.forward is Way.WITH_TRAVEL]
    by_end = {
        end: sum(one.way.sign * one.mm for one in along if one.end is end)
        for end in (End.LEFT, End.RIGHT)
    }
    return by_end[End.RIGHT] - by_end[End.LEFT]
