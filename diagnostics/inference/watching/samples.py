"""Samples of a sensor: times from 0 and offsets; thinned to what a fold can use."""

import zlib
from dataclasses import dataclass

import numpy as np

from diagnostics.mechanics.nodes import Floats

# A belt moves some centimetres sideways in a second: finer than this is noise only; and never more
# samples than this are kept. [s]
_FINEST_S = 0.1
MOST_KEPT = 100_000


@dataclass(frozen=True)
class Samples:
    """Times from 0, in order [s], offsets [mm, + right] and passes of the splice [s]."""

    times_s: Floats
    offsets_mm: Floats
    splice_passes_s: tuple[float, ...] = ()

    @property
    def watched_s(self) -> float:
        """From the first sample to the last, and one step. [s]"""
        return float(self.times_s[-1] - self.times_s[0] + np.median(np.diff(self.times_s)))

    def until(self, end_s: float) -> "Samples":
        """Those up to a moment."""
        kept = self.times_s <= end_s
        return Samples(self.times_s[kept], self.offsets_mm[kept], self.splice_passes_s)


def thinned(samples: Samples) -> Samples:
    """Means over short stretches of time; as they are where they are few.

    Parameters
    ----------
    samples : Samples
        At least two.

    Returns
    -------
    Samples
        At most 100 000, none nearer to the next than a tenth of a second on average.
    """
    whole_s = float(samples.times_s[-1] - samples.times_s[0])
    step_s = max(_FINEST_S, whole_s / MOST_KEPT)
    if len(samples.times_s) <= 2 or whole_s / step_s >= len(samples.times_s) - 1:
        return samples
    slot = np.minimum((samples.times_s / step_s).astype(int), MOST_KEPT - 1)
    count = np.bincount(slot)
    some = count > 0
    times = np.bincount(slot, samples.times_s)[some] / count[some]
    offsets = np.bincount(slot, samples.offsets_mm)[some] / count[some]
    return Samples(times - times[0], offsets, samples.splice_passes_s)


def of_log(
    offsets_mm: tuple[float, ...], times_s: tuple[float, ...], rate_hz: float | None
) -> Samples | None:
    """A log as samples; None when fewer than two of its figures are numbers.

    Parameters
    ----------
    offsets_mm : tuple of float
        [mm]
    times_s : tuple of float
        As many, in order, or none for a log sampled at `rate_hz`. [s]
    rate_hz : float or None
        [1/s]
    """
    offsets = np.asarray(offsets_mm, dtype=float)
    times = np.asarray(times_s, dtype=float)
    if len(times) != len(offsets):
        times = np.arange(len(offsets)) / (rate_hz or 1.0)
    known = np.isfinite(offsets) & np.isfinite(times)
    if np.count_nonzero(known) < 2:
        return None
    return Samples(times[known], offsets[known])


def packed(samples: Samples) -> bytes:
    """Samples as they are kept: times to the millisecond, offsets to a millionth of their size."""
    milliseconds = np.rint(samples.times_s * 1000).astype("<u4")
    return zlib.compress(milliseconds.tobytes() + samples.offsets_mm.astype("<f4").tobytes())


def unpacked(content: bytes) -> Samples:
    """The inverse of `packed`; passes of the splice are kept beside it."""
    raw = zlib.decompress(content)
    half = len(raw) // 2
    times = np.frombuffer(raw[:half], dtype="<u4").astype(float) / 1000
    return Samples(times, np.frombuffer(raw[half:], dtype="<f4").astype(float))
