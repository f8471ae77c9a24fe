"""A plant's cases in a few words, as the reckoning takes them."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from diagnostics.recurrence.faults.given import Asked, Events, Watch
from diagnostics.recurrence.faults.reckoning import Reckoned, Words, reckon

FAMILIES = ("return_idler", "belt_splice", "loading")
ZONES = ("tail", "load zone")
STRETCHES = ("2026-01-01", "2026-02-01", "2026-03-01", "2026-04-01")


def events_of(
    belts: Sequence[int],
    times: Sequence[float],
    *,
    at: Sequence[float] | None = None,
    stretch: Sequence[int] | None = None,
    repeats: Sequence[bool] | None = None,
    hours: Sequence[float] | None = None,
    families: Sequence[int] | None = None,
    zones: Sequence[int] | None = None,
) -> Events:
    def given(values: Any, otherwise: Any, dtype: type) -> np.ndarray:
        return np.array([otherwise] * len(belts) if values is None else values, dtype=dtype)

    return Events(
        belt=np.array(belts, dtype=np.int64),
        time=np.array(times, dtype=float),
        at=np.array(times if at is None else at, dtype=float),
        stretch=given(stretch, 0, np.int64),
        is_repeat=given(repeats, False, bool),
        lost_hours=given(hours, np.nan, float),
        family=given(families, -1, np.int64),
        zone=given(zones, -1, np.int64),
    )


def reckoned(
    events: Events, end: Sequence[float], entry: Sequence[float] | None = None, **how: Any
) -> Reckoned:
    ends = np.array(end, dtype=float)
    entries = np.zeros_like(ends) if entry is None else np.array(entry, dtype=float)
    words = Words(FAMILIES, ZONES, STRETCHES, STRETCHES[0])
    return reckon(events, Watch(entries, ends), words, **{"asked": Asked(), **how})
