"""What the faults of a plant are reckoned from: how each belt was watched, and its events."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnostics.recurrence.histories import Counts, Floats

Flags = NDArray[np.bool_]
# Family or zone of an event of which none is known.
UNKNOWN = -1


@dataclass(frozen=True)
class Asked:
    """Level of all intervals, how much worse is worse, and what share of findings may be false."""

    level: float = 0.90
    factor: float = 1.5
    false_share: float = 0.10


@dataclass(frozen=True, eq=False)
class Watch:
    """The clock of each belt: watched from entry (not included) to end (included).

    A clock counts exposure (hours run, tonnes, or days) without what is not known; a belt whose
    end is not above its entry has no exposure, and no rate.
    """

    entry: Floats
    end: Floats

    def __post_init__(self) -> None:
        if self.entry.shape != self.end.shape or self.entry.ndim != 1:
            raise ValueError("each belt needs an entry and an end")
        if not (np.isfinite(self.entry).all() and np.isfinite(self.end).all()):
            raise ValueError("entry and end must be finite")
        if (self.entry < 0).any():
            raise ValueError("entry must not lie before 0")

    @property
    def belts(self) -> int:
        return len(self.end)

    @property
    def is_watched(self) -> Flags:
        return self.end > self.entry

    @property
    def exposure(self) -> Floats:
        """nan for a belt that has none."""
        return np.where(self.is_watched, self.end - self.entry, np.nan)


@dataclass(frozen=True, eq=False)
class Events:
    """The cases of a period, one entry an event, in any order.

    Attributes
    ----------
    belt : array of int
        Index of the belt.
    time : array of float
        On the belt's clock; nan where the clock does not know, -inf and inf before and after the
        belt was watched.
    at : array of float
        Instant, on one scale for all belts: tells events of one instant apart from close ones.
    stretch : array of int
        Index of the stretch of the period that it lies in.
    is_repeat : array of bool
    lost_hours : array of float
        nan where nobody has said them. [h]
    family, zone : array of int
        Index among the words of families and of zones, or `UNKNOWN`.
    """

    belt: Counts
    time: Floats
    at: Floats
    stretch: Counts
    is_repeat: Flags
    lost_hours: Floats
    family: Counts
    zone: Counts

    def __post_init__(self) -> None:
        shapes = {array.shape for array in vars(self).values()}
        if len(shapes) != 1 or self.belt.ndim != 1:
            raise ValueError("each event needs one entry in every array")

    @cached_property
    def same_instant(self) -> int:
        """Events that lie at the same instant as an earlier one of their belt."""
        pairs = np.stack((self.belt.astype(float), self.at))
        return self.belt.size - np.unique(pairs, axis=1).shape[1]


def no_events() -> Events:
    ints, floats = np.empty(0, dtype=np.int64), np.empty(0)
    return Events(ints, floats, floats, ints, np.empty(0, dtype=bool), floats, ints, ints)
