"""Likelihood of readings of which some may have caught a defect as it passed.

Each reading either caught the defect or did not, and nobody knows which. All combinations are too
many; readings are taken one after the other, and after each the background is brought back to one
normal with the mean and variance of the mixture (assumed density filtering).
"""

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.mechanics.nodes import Floats

# Below this chance a reading is no candidate for having caught anything: what the defect may have
# added is then a spread among others, which is quicker and comes to the same.
LEAST_CHANCE = 0.2


@dataclass(frozen=True)
class Passing:
    """A defect of one size and side, watched for one length of look.

    Attributes
    ----------
    offset_mm, offset_spread_mm : array, shape (n,)
        What it adds to a reading that catches it, with standard deviation. [mm]
    chance : array, shape (n,)
        That a reading caught it, given what was said of persistence; 0 to 1.
    log_weight : float
        Log probability of the remarks on persistence, and how usual the size is.
    """

    offset_mm: Floats
    offset_spread_mm: Floats
    chance: Floats
    log_weight: float

    def mirrors(self, other: "Passing") -> bool:
        """Whether it is the same defect turned to the other side."""
        return (
            self.chance is other.chance
            and self.log_weight == other.log_weight
            and np.array_equal(self.offset_mm, -other.offset_mm)
            and np.array_equal(self.offset_spread_mm, other.offset_spread_mm)
        )

    @property
    def expected_mm(self) -> Floats:
        """Mean of what it added to each reading. [mm]"""
        return self.chance * self.offset_mm

    @property
    def spread_mm(self) -> Floats:
        """Standard deviation of what it added to each reading. [mm]"""
        left = self.chance * (1 - self.chance) * self.offset_mm**2
        spread: Floats = np.sqrt(left + self.chance * self.offset_spread_mm**2)
        return spread


def log_density(passing: Passing, seen_mm: Floats, covers: np.ndarray) -> Floats:
    """Log density of rows of readings against each background, remarks left out.

    Parameters
    ----------
    passing : Passing
    seen_mm : array, shape (rows, n)
    covers : array, shape (backgrounds, n, n)
        Covariance of the readings without the defect. [mm2]

    Returns
    -------
    array, shape (backgrounds, rows)
    """
    may = passing.chance >= LEAST_CHANCE
    plain = np.flatnonzero(~may)
    left = (seen_mm - passing.expected_mm)[:, plain].T
    own = covers[:, plain[:, None], plain] + np.diag(passing.spread_mm[plain] ** 2)
    factors = np.linalg.cholesky(own)
    white = np.linalg.solve(factors, np.broadcast_to(left, (len(covers), *left.shape)))
    spread = 2 * np.sum(np.log(np.diagonal(factors, axis1=1, axis2=2)), axis=1)
    log_plain = -0.5 * (
        np.sum(white**2, axis=1) + spread[:, None] + len(plain) * math.log(2 * math.pi)
    )
    if not may.any():
        result: Floats = log_plain
        return result
    # What the plain readings say of the background at the others.
    caught = np.flatnonzero(may)
    across = np.linalg.solve(factors, covers[:, plain[:, None], caught])
    turned = np.swapaxes(across, 1, 2)
    mean = np.swapaxes(turned @ white, 1, 2)
    cover = covers[:, caught[:, None], caught] - turned @ across
    return log_plain + _filtered(passing, caught, seen_mm, mean, cover)


def _filtered(
    passing: Passing, index: np.ndarray, seen_mm: Floats, mean: Floats, cover: np.ndarray
) -> Floats:
    """Log density of the readings that may have caught it, one after the other.

    `mean` has the shape (backgrounds, rows, readings), `cover` (backgrounds, readings, readings).
    """
    mean = mean.copy()
    cover = np.repeat(cover[:, None], mean.shape[1], axis=1)
    total = np.zeros(mean.shape[:2])
    for number, reading in enumerate(index):
        chance = min(float(passing.chance[reading]), 1 - 1e-9)
        variance = cover[..., number, number]
        spread = variance + passing.offset_spread_mm[reading] ** 2
        missed = seen_mm[:, reading] - mean[..., number]
        caught = missed - passing.offset_mm[reading]
        log_missed = math.log1p(-chance) - 0.5 * (np.log(variance) + missed**2 / variance)
        log_caught = math.log(chance) - 0.5 * (np.log(spread) + caught**2 / spread)
        both = np.logaddexp(log_missed, log_caught)
        total += both - 0.5 * math.log(2 * math.pi)
        share = np.exp(log_caught - both)
        # Mean and variance of the background at this reading, given both possibilities.
        step = caught * variance / spread
        moved = (1 - share) * missed + share * step
        kept = (
            share * (variance - variance**2 / spread) + share * (1 - share) * (missed - step) ** 2
        )
        gain = cover[..., number + 1 :, number] / variance[..., None]
        mean[..., number + 1 :] += gain * moved[..., None]
        cover[..., number + 1 :, number + 1 :] -= (
            gain[..., :, None] * gain[..., None, :] * (variance - kept)[..., None, None]
        )
    return total
