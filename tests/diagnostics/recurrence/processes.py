"""Histories of units whose true rate is known."""

from collections.abc import Sequence

import numpy as np

from diagnostics.recurrence.histories import Histories, histories_of


def power_law_units(
    rng: np.random.Generator,
    shape: float,
    expected: float,
    end: Sequence[float],
    entry: Sequence[float] | None = None,
) -> tuple[float, Histories]:
    """The scale, and units of one power law that have so many events together on average."""
    ends = np.asarray(end, dtype=float)
    entries = np.zeros_like(ends) if entry is None else np.asarray(entry, dtype=float)
    means = ends**shape - entries**shape
    scale = expected / means.sum()
    unit = np.repeat(np.arange(len(ends)), rng.poisson(scale * means))
    powers = entries[unit] ** shape + rng.uniform(size=len(unit)) * means[unit]
    times = np.clip(powers ** (1 / shape), np.nextafter(entries, ends)[unit], ends[unit])
    return scale, histories_of(unit, times, end=ends, entry=entries)


def constant_units(
    rng: np.random.Generator, rates: Sequence[float], end: Sequence[float]
) -> Histories:
    """Units with a constant rate each."""
    ends = np.asarray(end, dtype=float)
    unit = np.repeat(np.arange(len(ends)), rng.poisson(np.asarray(rates) * ends))
    # 1 less a share from 0 (included) to 1: times above 0, up to the end.
    return histories_of(unit, ends[unit] * (1 - rng.uniform(size=len(unit))), end=ends)


def staggered_units(rng: np.random.Generator, units: int) -> Histories:
    """Few units on whole days, with ties, late entries and units without events."""
    entry = rng.integers(0, 5, units)
    end = entry + rng.integers(1, 20, units)
    counts = rng.integers(0, 6, units)
    # The first has an event, so that there is one at all.
    counts[0] += 1
    unit = np.repeat(np.arange(units), counts)
    time = rng.integers(entry[unit] + 1, end[unit] + 1)
    return histories_of(unit, time, end=end, entry=entry)
