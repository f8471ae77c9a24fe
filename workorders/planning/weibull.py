"""Weibull life by maximum likelihood from lives of which some were not seen to end.

The likelihood is exact: a density for each failure, the chance to survive for each life that was
taken out or still runs. The scale is profiled out, so that one equation in the shape remains.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import logsumexp

from workorders.planning.lives import Lives, Numbers
from workorders.planning.quantiles import normal_quantile

# The share that has failed at the age called B10.
_B10_SHARE = 0.10
# Differences of ages this small against the age keep their digits in the log1p form.
_NEAR = 0.5


@dataclass(frozen=True)
class Weibull:
    """Life distribution: the share exp(-(t/scale)^shape) survives age t.

    Attributes
    ----------
    shape : float
        > 0. [-]
    scale : float
        Age at which 63.2 % have failed, > 0. [unit of age]
    """

    shape: float
    scale: float

    def __post_init__(self) -> None:
        for name in ("shape", "scale"):
            value = getattr(self, name)
            if not (value > 0 and math.isfinite(value)):
                raise ValueError(f"{name} must be finite and > 0, got {value!r}")

    @property
    def mean(self) -> float:
        """Mean life, scale * Gamma(1 + 1/shape); infinite where it is past what a float holds."""
        return _exp(math.log(self.scale) + math.lgamma(1 + 1 / self.shape))

    @property
    def b10(self) -> float:
        """Age at which a tenth has failed."""
        return self.age_at(_B10_SHARE)

    def age_at(self, failed_share: float) -> float:
        """Age by which this share, between 0 and 1, has failed."""
        return _exp(math.log(self.scale) + math.log(-math.log1p(-failed_share)) / self.shape)

    def survival(self, age: float) -> float:
        """Share that survives an age >= 0."""
        return math.exp(-_exp(self.shape * math.log(age / self.scale))) if age > 0 else 1.0


@dataclass(frozen=True)
class WeibullFit:
    """A fitted life and how sure it is.

    Attributes
    ----------
    life : Weibull
    loglik : float
        Natural logarithm of the likelihood at the fit, ages in their own unit, no constant left
        out and none added for the order of equal ages.
    shape_lower, shape_upper : float
        Profile-likelihood limits of the shape.
    level : float
        Two-sided confidence level of the limits.
    """

    life: Weibull
    loglik: float
    shape_lower: float
    shape_upper: float
    level: float


def fit_weibull(lives: Lives, level: float = 0.90) -> WeibullFit | None:
    """The likeliest Weibull life, with limits of its shape.

    Parameters
    ----------
    lives : Lives
    level : float
        Two-sided confidence level, between 0 and 1.

    Returns
    -------
    WeibullFit or None
        None with fewer than two distinct failure ages: a likelihood that needs no spread between
        failures says nothing about the shape. None too where the scale is past what a float holds.

    Notes
    -----
    With n_i lives at age t_i, d_i of them failures, d = sum d_i, the shape b solves
    sum n t^b ln t / sum n t^b - 1/b - sum d_i ln t_i / d = 0, whose left side rises with b; the
    scale is (sum n t^b / d)^(1/b). The limits are where twice the fall of the profile
    log-likelihood reaches the chi-square quantile with one degree of freedom; for few failures
    they hold their level better than limits from a standard error.

    References
    ----------
    W. Q. Meeker, L. A. Escobar, Statistical Methods for Reliability Data, Wiley 1998, chapter 8
    (likelihood, profile limits); the equation of the shape is an identity of that likelihood.
    """
    reach = normal_quantile(level)
    if not lives.fail_at_different_ages:
        return None
    profile = _Profile(lives)
    log_scale = profile.log_scale
    if abs(log_scale) > math.log(np.finfo(float).max):
        return None
    lower, upper = profile.limits(reach**2 / 2)
    life = Weibull(profile.shape, math.exp(log_scale))
    return WeibullFit(life, profile.loglik, lower, upper, level)


class _Profile:
    """The log-likelihood along the shape, the scale always the best for it.

    Ages enter by their logarithms against the greatest, so that powers of them neither overflow
    nor depend on the unit.
    """

    def __init__(self, lives: Lives) -> None:
        ages, failures, counts = lives.as_arrays()
        logs = np.log(ages)
        self._log_greatest = float(logs[-1])
        self._logs: Numbers = logs - logs[-1]
        self._log_counts: Numbers = np.log(counts)
        self._failures = float(failures.sum())
        self._mean_log = float(failures @ self._logs) / self._failures
        self.shape = _root(self._score)
        self._at_best = self._log_power_sum(self.shape)

    @property
    def log_scale(self) -> float:
        return self._log_greatest + (self._at_best - math.log(self._failures)) / self.shape

    @property
    def loglik(self) -> float:
        shape = self.shape
        log_failure_age = self._mean_log + self._log_greatest
        each = math.log(shape) - shape * self.log_scale + (shape - 1) * log_failure_age - 1
        return self._failures * each

    def limits(self, fall: float) -> tuple[float, float]:
        """Shapes below and above the best at which the log-likelihood has fallen by so much."""

        def beyond(log_ratio: float) -> float:
            return self._fall(log_ratio) - fall

        # One standard error of the log shape at least, so a few doublings reach past the limit.
        step = 1 / math.sqrt(self._failures)
        ends = []
        for direction in (-step, step):
            far = direction
            while beyond(far) < 0:
                far *= 2
            ends.append(self.shape * math.exp(brentq(beyond, 0.0, far, xtol=1e-14, rtol=1e-12)))
        return ends[0], ends[1]

    def _log_power_sum(self, shape: float) -> float:
        return float(logsumexp(self._log_counts + shape * self._logs))

    def _score(self, shape: float) -> float:
        weights = np.exp(self._log_counts + shape * self._logs - self._log_power_sum(shape))
        return float(weights @ self._logs) - 1 / shape - self._mean_log

    def _fall(self, log_ratio: float) -> float:
        """How far the log-likelihood falls from its best to the shape times exp(log_ratio).

        Near the best its terms of first order cancel; expm1 and log1p keep what is left, which
        would drown in rounding for very many lives.
        """
        moved = self.shape * math.expm1(log_ratio)
        if abs(moved * self._logs[0]) < _NEAR:
            weights = np.exp(self._log_counts + self.shape * self._logs - self._at_best)
            grown = math.log1p(float(weights @ np.expm1(moved * self._logs)))
        else:
            grown = self._log_power_sum(self.shape + moved) - self._at_best
        return self._failures * (grown - log_ratio - moved * self._mean_log)


def _root(rising: Callable[[float], float]) -> float:
    """Where a rising function of a positive number passes 0."""
    low = high = 1.0
    while rising(low) > 0:
        low /= 2
    while rising(high) < 0:
        high *= 2
    return low if low == high else float(brentq(rising, low, high, xtol=1e-300, rtol=1e-14))


def _exp(power: float) -> float:
    try:
        return math.exp(power)
    except OverflowError:
        return math.inf
