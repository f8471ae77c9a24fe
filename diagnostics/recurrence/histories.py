"""What happened to several units, and how long each was watched; pure.

A unit is a conveyor, or a place on one. Each is watched from its entry (not included) to its end
(included), so that units may join late and leave early. Times are of one clock that the caller
chooses, running hours or days; equal times are separate events.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]


class EndedBy(StrEnum):
    """Why the watching ended: at a time fixed beforehand, or with the last event itself."""

    TIME = "time"
    FAILURE = "failure"


@dataclass(frozen=True, eq=False)
class Histories:
    """Events of all units in one array, with the span in which each unit was watched.

    Attributes
    ----------
    entry, end : array of float, one a unit
        Watched from entry (not included) to end (included), 0 <= entry < end.
    unit : array of int, one an event
        Index of the unit the event belongs to.
    time : array of float, one an event
        Within the unit's span, ascending over all units together.
    """

    entry: Floats
    end: Floats
    unit: Counts
    time: Floats

    @property
    def units(self) -> int:
        return len(self.end)

    @property
    def events(self) -> int:
        return len(self.time)

    @cached_property
    def counts(self) -> Counts:
        """Events of each unit."""
        return np.bincount(self.unit, minlength=self.units)

    @property
    def exposure(self) -> Floats:
        """How long each unit was watched."""
        return self.end - self.entry

    def sums(self, of_events: Floats) -> Floats:
        """The sum over each unit's events of a figure that each event has."""
        return np.bincount(self.unit, of_events, self.units).astype(float)


def histories_of(unit: Any, time: Any, *, end: Any, entry: Any = 0.0) -> Histories:
    """Put events and spans together, in order of time.

    Parameters
    ----------
    unit : array-like of int, one an event
        Index of the unit, 0 <= unit < number of units.
    time : array-like of float, one an event
        In any order; above the unit's entry, not above its end.
    end : array-like of float, one a unit
        End of watching; its length is the number of units.
    entry : array-like of float, one a unit, or one for all
        Beginning of watching, from 0.

    Returns
    -------
    Histories

    Raises
    ------
    ValueError
        A figure is not finite, a span is empty, an event lies outside its unit's span.
    """
    ends = np.array(end, dtype=float).reshape(-1)
    entries = np.broadcast_to(np.asarray(entry, dtype=float), ends.shape).copy()
    units, times = np.asarray(unit, dtype=np.int64), np.array(time, dtype=float).reshape(-1)
    _check_spans(entries, ends)
    _check_events(units, times, entries, ends)
    order = np.argsort(times, kind="stable")
    return Histories(entries, ends, units[order].copy(), times[order].copy())


def from_lists(times: Sequence[Sequence[float]], *, end: Any, entry: Any = 0.0) -> Histories:
    """The same from one list of event times a unit."""
    unit = np.repeat(np.arange(len(times)), [len(one) for one in times])
    return histories_of(unit, [one for own in times for one in own], end=end, entry=entry)


def _check_spans(entry: Floats, end: Floats) -> None:
    if not (np.isfinite(entry).all() and np.isfinite(end).all()):
        raise ValueError("entry and end must be finite")
    if (entry < 0).any() or (end <= entry).any():
        raise ValueError("each span must have 0 <= entry < end")


def _check_events(unit: Counts, time: Floats, entry: Floats, end: Floats) -> None:
    if unit.shape != time.shape:
        raise ValueError(f"each event needs a unit and a time, not {unit.size} and {time.size}")
    if not unit.size:
        return
    if unit.min() < 0 or unit.max() >= len(end):
        raise ValueError(f"unit must be 0 to {len(end) - 1}, got {unit.min()} to {unit.max()}")
    if not np.isfinite(time).all():
        raise ValueError("time must be finite")
    outside = (time <= entry[unit]) | (time > end[unit])
    if outside.any():
        first = int(np.argmax(outside))
        raise ValueError(
            f"time must lie above its unit's entry and not above its end, got {time[first]} "
            f"for unit {unit[first]}, watched from {entry[unit[first]]} to {end[unit[first]]}"
        )
