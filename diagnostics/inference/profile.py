"""How well each possible fault explains the offsets along the loop.

Readings are a fault's template times an unknown amplitude, over a background that every belt has:
reading error, a slow wander along the line, and the small misalignment left in every idler. The
amplitude is integrated out; how bad the idlers are is averaged over.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_triangular

from diagnostics.inference.family import Family
from diagnostics.inference.reach import Floats
from diagnostics.inference.readings import Readings
from diagnostics.inference.templates import Templates
from plant.loop.path import Loop

# How bad the idlers are against the usual: better, usual, worse; averaged over.
BACKGROUNDS = (0.35, 0.7, 1.4)
_USUAL_BACKGROUND = 0.7
# What is left over of any belt's path that no model explains, and how far it hangs together;
# engineering judgement, to be calibrated. [mm, m]
WANDER_MM = 8.0
WANDER_M = 20.0
# Misalignment left in every single idler after commissioning; engineering judgement. [deg]
IDLER_DEG = 0.2
# Sizes of a fault against its family's usual size; averaged over.
SIZES = (0.5, 1.0, 2.0)
# An unknown moves the belt without regard to place; engineering judgement. [mm]
ERRATIC_MM = 30.0


@dataclass(frozen=True)
class Fit:
    """One family's candidates against the readings.

    Attributes
    ----------
    family : Family
    log_likelihood : array, shape (places,)
        Natural logarithm, comparable between families of one case.
    amplitude : array, shape (places,)
        Expected amplitude with its sign. [unit of the family]
    """

    family: Family
    log_likelihood: Floats
    amplitude: Floats


@dataclass(frozen=True)
class Whitened:
    """Readings and templates against one background, errors turned into unit steps."""

    readings: Floats
    shapes: Floats
    log_nothing: float


class Profile:
    """The readings of one case, whitened against each background."""

    def __init__(self, readings: Readings, templates: Templates) -> None:
        self.readings, self.templates = readings, templates
        self._families = templates.families()
        loop = templates.loop
        place = readings.looks.position_m
        self._factors = []
        for badness in BACKGROUNDS:
            cover = np.diag(readings.variance_mm2) + _wander(loop, place, badness)
            single = badness * IDLER_DEG * templates.by_roll_mm_deg
            self._factors.append(np.linalg.cholesky(cover + single @ single.T))
        # Small and asked for every family: inverting once is cheaper than solving each time.
        unit = np.eye(len(place))
        self._whiteners = [solve_triangular(one, unit, lower=True) for one in self._factors]
        self._nothing = [_log_normal(readings.offset_mm, one) for one in self._factors]

    def fits(self) -> list[Fit]:
        """One fit a family, in the order of `Templates.families`."""
        return [self._fit(family) for family in self._families]

    def shapes_of(self, columns: list[tuple[int, int]]) -> tuple[Floats, Floats]:
        """Templates by family and candidate number, shape (readings, n), and their spreads."""
        shapes = [self._families[family].influence_mm[:, place] for family, place in columns]
        spreads = [self._families[family].spread for family, _ in columns]
        return np.array(shapes).T, np.array(spreads)

    def whitened(self, shapes: Floats) -> list[Whitened]:
        """Readings and any templates against each background."""
        seen = self.readings.offset_mm
        return [
            Whitened(whitener @ seen, whitener @ shapes, nothing)
            for whitener, nothing in zip(self._whiteners, self._nothing, strict=True)
        ]

    def erratic(self) -> float:
        """Log likelihood of a belt that stands anywhere, each reading for itself."""
        size = len(self.readings.offset_mm)
        return self.moving(np.full(size, ERRATIC_MM), np.ones(size))

    def moving(self, peak_mm: Floats, chance: Floats) -> float:
        """Log likelihood of a defect that travels with the belt.

        Parameters
        ----------
        peak_mm : array, shape (n,)
            Offset while it passes, for its usual size. [mm]
        chance : array, shape (n,)
            Chance that it was there when the place was looked at.
        """
        logs = []
        for factor in self._factors:
            cover = factor @ factor.T
            for size in SIZES:
                extra = np.diag((size * peak_mm) ** 2 * chance)
                logs.append(_log_normal(self.readings.offset_mm, np.linalg.cholesky(cover + extra)))
        return _log_mean(np.array(logs), axis=0).item()

    def _fit(self, family: Family) -> Fit:
        logs, amplitudes = [], []
        for one in self.whitened(family.influence_mm):
            weight, match = np.sum(one.shapes**2, axis=0), one.shapes.T @ one.readings
            for size in SIZES:
                variance = (size * family.spread) ** 2
                gain = 1 + variance * weight
                better = 0.5 * variance * match**2 / gain - 0.5 * np.log(gain)
                logs.append(one.log_nothing + better)
                amplitudes.append(variance * match / gain)
        stacked = np.array(logs)
        shares = np.exp(stacked - stacked.max(axis=0))
        shares /= shares.sum(axis=0)
        return Fit(
            family, _log_mean(stacked, axis=0), np.sum(shares * np.array(amplitudes), axis=0)
        )


def _wander(loop: Loop, place: Floats, badness: float) -> Floats:
    ahead = (place[:, None] - place[None, :]) % loop.length_m
    apart = np.minimum(ahead, loop.length_m - ahead)
    size = max(1.0, badness / _USUAL_BACKGROUND) * WANDER_MM
    result: Floats = size**2 * np.exp(-apart / WANDER_M)
    return result


def _log_normal(value: Floats, factor: np.ndarray) -> float:
    """Log density of a normal with mean 0 and the covariance factor factor'."""
    white = solve_triangular(factor, value, lower=True)
    spread = 2 * float(np.sum(np.log(np.diag(factor))))
    return -0.5 * (float(white @ white) + spread + len(value) * math.log(2 * math.pi))


def _log_mean(logs: Floats, *, axis: int) -> Floats:
    top = logs.max(axis=axis)
    result: Floats = top + np.log(np.mean(np.exp(logs - top), axis=axis))
    return result
