"""How well each possible fault explains the offsets along the loop.

Readings are a fault's template times an unknown amplitude, over a background that every belt has:
reading error, a slow wander along the line, and the small misalignment left in every idler. The
amplitude is integrated out; how bad the idlers are and how well the observer sees is averaged over.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from scipy.linalg import solve_triangular

from diagnostics.inference.catching import Passing, log_density
from diagnostics.inference.effect_sizes import PEAK_SPREAD, PEAKS_MM, log_cosh, log_plausible
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.readings import READINGS_MM, Readings
from diagnostics.mechanics.influence import Family
from diagnostics.mechanics.nodes import Floats
from plant.loop.path import Loop

# How bad the idlers are against the usual: better, worse; averaged over.
BACKGROUNDS = (0.6, 1.2)
USUAL_BACKGROUND = 0.7
# What is left over of any belt's path that no model explains, and how far it hangs together;
# engineering judgement, to be calibrated. [mm, m]
WANDER_MM = 5.0
WANDER_M = 20.0
# Misalignment left in every single idler after commissioning; engineering judgement. [deg]
IDLER_DEG = 0.2
# An unknown moves the belt without regard to place; usually so far, and so many times as far,
# averaged over. Engineering judgement. [mm]
ERRATIC_MM = 30.0
ERRATIC_TIMES = (0.5, 1.0, 2.0)
# A template that moves the belt by less than this per unit moves it nowhere. [mm]
_LEAST_PEAK_MM = 1e-6
# Numbers of covariances held at once; keeps walks of many sightings out of the memory.
_MOST_AT_ONCE = 1_000_000


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
    log_weight : array, shape (places,)
        How plausible a fault of the size it takes is at each place, before the readings; it is
        part of the likelihood, and 1 on average over the family.
    """

    family: Family
    log_likelihood: Floats
    amplitude: Floats
    log_weight: Floats


@dataclass(frozen=True)
class Whitened:
    """Readings and templates against one background, errors turned into unit steps."""

    readings: Floats
    shapes: Floats
    log_nothing: float


class Profile:
    """The readings of one case, whitened against each background."""

    def __init__(self, readings: Readings, faults: FaultFamilies) -> None:
        self.readings = readings
        self._families = faults.families()
        self.by_roll_mm_deg = faults.by_roll_mm_deg
        loop = faults.loop
        place = readings.looks.position_m
        self._peaks_mm = faults.peaks_mm
        self._factors = []
        for badness, reading_mm in product(BACKGROUNDS, READINGS_MM):
            cover = np.diag(readings.rounding_mm2 + reading_mm**2)
            single = badness * IDLER_DEG * faults.by_roll_mm_deg
            cover += wander_mm2(loop, place, badness) + single @ single.T
            self._factors.append(np.linalg.cholesky(cover))
        # Small and asked for every family: inverting once is cheaper than solving each time.
        unit = np.eye(len(place))
        self._whiteners = [solve_triangular(one, unit, lower=True) for one in self._factors]
        self._nothing = [_log_normal(readings.offset_mm, one) for one in self._factors]

    @cached_property
    def covers(self) -> np.ndarray:
        """Covariance of the readings against each background. [mm2]"""
        return np.array([one @ one.T for one in self._factors])

    def fits(self) -> list[Fit]:
        """One fit a family, in the order of `FaultFamilies.families`."""
        shapes = np.concatenate([one.influence_mm for one in self._families], axis=1)
        count = [len(one.position_m) for one in self._families]
        log_likelihood, amplitude = self._fit(shapes, *self._sizes)
        ends = np.cumsum(count)[:-1]
        return [
            Fit(*one)
            for one in zip(
                self._families,
                np.split(log_likelihood, ends),
                np.split(amplitude, ends),
                np.split(np.logaddexp.reduce(self._sizes[1], axis=0), ends),
                strict=True,
            )
        ]

    @cached_property
    def _sizes(self) -> tuple[Floats, Floats]:
        """Amplitudes averaged over, to either side alike, and log of their shares.

        Two arrays of shape (sizes, templates): the amplitudes that move the belt by `PEAKS_MM`. A
        place where it would take an implausible fault weighs less in its family; on average the
        shares of a place sum to 1.
        """
        count = [len(one.position_m) for one in self._families]
        spread = np.repeat([one.spread for one in self._families], count)
        middle = np.array(PEAKS_MM)[:, None] / np.maximum(self._peaks_mm, _LEAST_PEAK_MM)
        log_weight = log_plausible(middle / spread)
        # A family that cannot move this belt plausibly keeps its weight: some place it must have.
        starts = np.cumsum([0, *count[:-1]])
        log_weight -= np.repeat(np.maximum.reduceat(log_weight.max(axis=0), starts), count)
        whole = np.add.reduceat(np.exp(log_weight).sum(axis=0), starts)
        return middle, log_weight - np.log(np.repeat(whole / count, count))

    def shapes_of(self, columns: list[tuple[int, int]]) -> tuple[Floats, Floats]:
        """Templates by family and candidate number, shape (readings, n), and their spreads."""
        shapes = [self._families[family].influence_mm[:, place] for family, place in columns]
        spreads = [self._families[family].spread for family, _ in columns]
        return np.array(shapes).T, np.array(spreads)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Of the families, in their order."""
        return tuple(one.name for one in self._families)

    def stretch_of(self, column: tuple[int, int]) -> tuple[float, float]:
        """Where a candidate begins and ends. [m]"""
        family, place = column
        found = self._families[family]
        return float(found.from_m[place]), float(found.to_m[place])

    def whitened(self, shapes: Floats) -> list[Whitened]:
        """Readings and any templates against each background."""
        seen = self.readings.offset_mm
        return [
            Whitened(whitener @ seen, whitener @ shapes, nothing)
            for whitener, nothing in zip(self._whiteners, self._nothing, strict=True)
        ]

    def erratic(self) -> float:
        """Log likelihood of a belt that stands anywhere, each reading for itself."""
        seen = self.readings.offset_mm
        spreads = np.array([np.full(len(seen), one * ERRATIC_MM) for one in ERRATIC_TIMES])
        logs = self._log_moved(np.broadcast_to(seen, spreads.shape), spreads)
        return _log_mean(logs.ravel(), axis=0).item()

    def moving(self, passings: Sequence[Passing]) -> float:
        """Log likelihood of a defect that travels with the belt, with what was said of it.

        Averaged over sizes, sides and lengths of look.
        """
        seen, logs, left = self.readings.offset_mm, [], list(passings)
        while left:
            one = left.pop()
            rows = [seen]
            # The other side of a defect sees the readings mirrored: one factorisation serves both.
            if left and left[-1].mirrors(one):
                left.pop()
                rows.append(-seen)
            logs.append(log_density(one, np.array(rows), self.covers).ravel() + one.log_weight)
        return _log_mean(np.concatenate(logs), axis=0).item()

    def _log_moved(self, values: Floats, spreads_mm: Floats) -> Floats:
        """Log density of rows of readings, each reading with a spread of its own besides.

        Parameters
        ----------
        values, spreads_mm : array, shape (rows, readings)

        Returns
        -------
        array, shape (backgrounds, rows)
        """
        covers = self.covers[:, None]
        rows, size = values.shape
        step = max(_MOST_AT_ONCE // (len(covers) * size**2), 1)
        return np.concatenate(
            [
                _log_normal_of(values[at : at + step], covers, spreads_mm[at : at + step])
                for at in range(0, rows, step)
            ],
            axis=1,
        )

    def _fit(self, shapes: Floats, middle: Floats, log_share: Floats) -> tuple[Floats, Floats]:
        """Log likelihood and expected amplitude of every template, shape (templates,) each.

        Parameters
        ----------
        shapes : array, shape (readings, templates)
        middle, log_share : array, shape (sizes, templates)
            Amplitude of each size, to either side alike, and its share.

        Notes
        -----
        The amplitude is a mixture of normals N(+-m, s^2), s a share of m. With A the whitened
        template squared, b its match and g = 1 + s^2 A the evidence over nothing at all is
        ``exp((s^2 b^2 - m^2 A) / 2 g) cosh(m b / g) / sqrt(g)``.
        """
        logs, amplitudes = [], []
        variance = (PEAK_SPREAD * middle) ** 2
        for one in self.whitened(shapes):
            weight, match = np.sum(one.shapes**2, axis=0), one.shapes.T @ one.readings
            gain = 1 + variance * weight
            side = middle * match / gain
            better = 0.5 * (variance * match**2 - middle**2 * weight) / gain + log_cosh(side)
            logs.append(one.log_nothing + log_share + better - 0.5 * np.log(gain))
            amplitudes.append((variance * match + middle * np.tanh(side)) / gain)
        stacked = np.concatenate(logs)
        top = stacked.max(axis=0)
        shares = np.exp(stacked - top)
        whole = shares.sum(axis=0)
        amplitude: Floats = np.sum(shares * np.concatenate(amplitudes), axis=0) / whole
        return top + np.log(whole / len(logs)), amplitude


def wander_mm2(loop: Loop, place: Floats, badness: float) -> Floats:
    """Covariance of what no model explains between places [m], shape (n, n). [mm2]"""
    ahead = (place[:, None] - place[None, :]) % loop.length_m
    apart = np.minimum(ahead, loop.length_m - ahead)
    size = max(1.0, badness / USUAL_BACKGROUND) * WANDER_MM
    result: Floats = size**2 * np.exp(-apart / WANDER_M)
    return result


def _log_normal(value: Floats, factor: np.ndarray) -> float:
    """Log density of a normal with mean 0 and the covariance factor factor'."""
    white = solve_triangular(factor, value, lower=True)
    spread = 2 * float(np.sum(np.log(np.diag(factor))))
    return -0.5 * (float(white @ white) + spread + len(value) * math.log(2 * math.pi))


def _log_normal_of(values: Floats, covers: np.ndarray, spreads_mm: Floats) -> Floats:
    """As `_log_normal`, of rows of readings against each covariance with each spread added."""
    size = values.shape[1]
    factors = np.linalg.cholesky(covers + np.eye(size) * (spreads_mm**2)[:, None, :])
    white = np.linalg.solve(factors, np.broadcast_to(values, factors.shape[:-1])[..., None])
    spread = 2 * np.sum(np.log(np.diagonal(factors, axis1=-2, axis2=-1)), axis=-1)
    distance = np.sum(white[..., 0] ** 2, axis=-1)
    result: Floats = -0.5 * (distance + spread + size * math.log(2 * math.pi))
    return result


def _log_mean(logs: Floats, *, axis: int) -> Floats:
    top = logs.max(axis=axis)
    result: Floats = top + np.log(np.mean(np.exp(logs - top), axis=axis))
    return result
