"""Rates of units with few events, drawn toward each other; pure.

A belt with one case in a short time is not the plant's worst. Each unit's rate is taken as one of a
gamma distribution whose shape and rate fit all units best (marginal likelihood); what is then known
of a unit is again a gamma distribution. Its interval takes the fitted prior as known, so with few
units it is a little short.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import brentq
from scipy.special import digamma, gammaincc, gammaincinv, gammaln, xlogy

from diagnostics.recurrence.histories import Floats

FEWEST_UNITS = 3
# Prior shapes between which the likeliest is looked for. The largest is a spread of 0.1 % of the
# mean, which no plant's record could show.
_SMALLEST_SHAPE, _LARGEST_SHAPE, _PLACES = 1e-3, 1e6, 37
# A gain of log likelihood below rounding is none.
_LEAST_GAIN = 1e-9


@dataclass(frozen=True)
class Prior:
    """Gamma distribution of the units' rates: mean a / b.

    `log_likelihood` is that of the counts: the sum of negative binomial log probabilities.
    """

    a: float
    b: float
    log_likelihood: float


@dataclass(frozen=True, eq=False)
class Rates:
    """Of each unit; `prior` None where units do not differ more than chance would make them.

    Attributes
    ----------
    rate : array of float
        Events over exposure.
    shrunk, lower, upper : array of float
        Posterior mean and two-sided interval; without a prior the pooled rate of all units with
        its exact Poisson limits.
    probability_worse : array of float
        That the unit's rate lies above `threshold`; nan without a prior or with a threshold of 0.
    threshold : float
        The factor times the usual rate.
    """

    prior: Prior | None
    rate: Floats
    shrunk: Floats
    lower: Floats
    upper: Floats
    probability_worse: Floats
    threshold: float


def shrunk_rates(
    counts: Any,
    exposure: Any,
    *,
    level: float = 0.90,
    factor: float = 1.5,
    usual: float | None = None,
) -> Rates:
    """Fair rates for ranking units, and how surely each is worse than the usual one.

    Parameters
    ----------
    counts : array-like of int, one a unit
        Events, from 0.
    exposure : array-like of float, one a unit
        Time watched, > 0, in any one unit.
    level : float
        Two-sided level of the intervals.
    factor : float
        Worse than so many times the usual rate, > 0.
    usual : float, optional
        The usual rate; the median unit rate unless given.

    Returns
    -------
    Rates
        Empty arrays without units.

    Raises
    ------
    ValueError
        A figure is out of range.

    Notes
    -----
    Posterior of a unit with n events in T: gamma with shape ``a + n`` and rate ``b + T``.

    References
    ----------
    D. P. Gaver and I. G. O'Muircheartaigh, "Robust empirical Bayes analyses of event rates",
    Technometrics 29 (1987), 1-15.
    """
    numbers, times = np.asarray(counts, dtype=float), np.asarray(exposure, dtype=float)
    _check(numbers, times, level, factor)
    rate = numbers / times
    if usual is None:
        usual = float(np.median(rate)) if len(rate) else float("nan")
    threshold = factor * usual
    prior = fit_prior(numbers, times)
    if prior is None:
        pooled = numbers.sum() / times.sum() if len(times) else float("nan")
        low, high = poisson_limits(numbers.sum(), times.sum(), level)
        unknown = np.full_like(rate, np.nan)
        filled = [np.full_like(rate, one) for one in (pooled, low, high)]
        return Rates(None, rate, filled[0], filled[1], filled[2], unknown, threshold)
    shape, per = prior.a + numbers, prior.b + times
    return Rates(
        prior,
        rate,
        shape / per,
        gammaincinv(shape, (1 - level) / 2) / per,
        gammaincinv(shape, (1 + level) / 2) / per,
        gammaincc(shape, per * threshold) if threshold > 0 else np.full_like(rate, np.nan),
        threshold,
    )


def fit_prior(counts: Floats, exposure: Floats) -> Prior | None:
    """The gamma prior of largest marginal likelihood.

    Returns
    -------
    Prior or None
        None of fewer than three units, without events, and where one rate for all is as likely.

    Notes
    -----
    For each shape the rate that fits it best is unique; along that ridge the slope is searched
    for changes of sign over shapes from 1e-3 to 1e6.
    """
    if len(counts) < FEWEST_UNITS or counts.sum() == 0:
        return None
    # Exposure in units of the mean time between events: then the figures are near 1.
    unit = exposure.sum() / counts.sum()
    ridge = _Ridge(counts, exposure / unit)
    places = np.geomspace(_SMALLEST_SHAPE, _LARGEST_SHAPE, _PLACES)
    slopes = [ridge.slope(one) for one in places]
    tops = [
        brentq(ridge.slope, places[k], places[k + 1], xtol=1e-300, rtol=1e-14)
        for k in range(_PLACES - 1)
        if slopes[k] > 0 >= slopes[k + 1]
    ]
    if not tops:
        return None
    best = max(tops, key=ridge.height)
    if ridge.height(best) - ridge.height_of_one_rate() < _LEAST_GAIN:
        return None
    return Prior(float(best), ridge.rate(best) * unit, ridge.height(best))


def poisson_limits(events: float, exposure: float, level: float) -> tuple[float, float]:
    """Exact two-sided limits of a rate from its number of events; nan without exposure.

    Notes
    -----
    Half the chi-square quantiles on 2 n and 2 n + 2 degrees of freedom over the exposure.

    References
    ----------
    F. Garwood, "Fiducial limits for the Poisson distribution", Biometrika 28 (1936), 437-442.
    """
    if not exposure > 0:
        return float("nan"), float("nan")
    low = gammaincinv(events, (1 - level) / 2) if events else 0.0
    return float(low / exposure), float(gammaincinv(events + 1, (1 + level) / 2) / exposure)


class _Ridge:
    """The marginal likelihood along the best rate of each shape."""

    def __init__(self, counts: Floats, exposure: Floats) -> None:
        self._counts, self._exposure = counts, exposure
        # Equal units weigh together: of many belts few differ in count and time.
        both, self._times = np.unique(
            np.column_stack((counts, exposure)), axis=0, return_counts=True
        )
        self._n, self._t = both[:, 0], both[:, 1]

    def rate(self, shape: float) -> float:
        """The best rate for a shape: mean counts are met."""

        def excess(log_rate: float) -> float:
            rate = np.exp(log_rate)
            return self._sum(shape - (self._n + shape) * rate / (rate + self._t))

        # The prior's mean lies between the least and the largest rate that any unit could have.
        low, high = np.log(shape) - 1.0, np.log(shape) + 1.0
        while excess(low) < 0:
            low -= 2.0
        while excess(high) > 0:
            high += 2.0
        return float(np.exp(brentq(excess, low, high, xtol=1e-13)))

    def slope(self, shape: float) -> float:
        """Of the height, after the shape."""
        rate = self.rate(shape)
        grown = _digamma_step(shape, self._n)
        return self._sum(grown - np.log1p(self._t / rate))

    def height(self, shape: float) -> float:
        rate = self.rate(shape)
        share = self._t / (rate + self._t)
        ways = gammaln(self._n + shape) - gammaln(shape) - gammaln(self._n + 1)
        return self._sum(ways - shape * np.log1p(self._t / rate) + xlogy(self._n, share))

    def height_of_one_rate(self) -> float:
        """Log likelihood of the counts if all units had the pooled rate, which is 1 here."""
        return self._sum(xlogy(self._n, self._t) - self._t - gammaln(self._n + 1))

    def _sum(self, figure: Floats) -> float:
        return float((self._times * figure).sum())


def _digamma_step(shape: float, counts: Floats) -> Floats:
    return digamma(shape + counts) - digamma(shape)


def _check(counts: Floats, exposure: Floats, level: float, factor: float) -> None:
    if counts.shape != exposure.shape or counts.ndim != 1:
        raise ValueError("counts and exposure must have one figure a unit")
    if not (np.isfinite(counts).all() and (counts >= 0).all()):
        raise ValueError("counts must be finite and from 0")
    if not (np.isfinite(exposure).all() and (exposure > 0).all()):
        raise ValueError("exposure must be finite and > 0")
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, got {level}")
    if not (factor > 0 and np.isfinite(factor)):
        raise ValueError(f"factor must be finite and > 0, got {factor}")
