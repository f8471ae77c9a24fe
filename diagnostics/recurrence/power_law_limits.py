"""Limits of a power law's shape and of its mean time between events; pure.

Given how many events there were, their ages alone tell of the shape, and the scale drops out. Where
all units were watched from 0 to the same end, the limits of the shape are exact; else they rest on
the likelihood root adjusted for few events.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import chdtri, gammainc, gammaln, ndtri

from diagnostics.recurrence.histories import Counts, Floats, Histories

# How far from the estimate a limit is looked for, as the logarithm of a factor.
_FARTHEST = 64.0
# Nearer to the estimate, on the scale of logarithms, the adjusted root is 0 divided by 0.
_NEAR = 1e-3


@dataclass(frozen=True, eq=False)
class Spans:
    """Spans of the units, and sums over them that a likelihood of the shape is made of."""

    entry: Floats
    end: Floats

    @classmethod
    def of(cls, histories: Histories) -> "Spans":
        return cls(histories.entry, histories.end)

    @property
    def are_alike(self) -> bool:
        """All from 0 to the same end: then the times alone, without the spans, are enough."""
        return bool((self.entry == 0).all() and (self.end == self.end[0]).all())

    @cached_property
    def log_last(self) -> float:
        """Logarithm of the largest end."""
        return float(np.log(self.end.max()))

    def log_sum(self, shape: float) -> float:
        """``ln sum (T^b - S^b)``."""
        return shape * self.log_last + self.log_shares(shape)

    def log_shares(self, shape: float) -> float:
        """`log_sum` with the largest end as the unit of time, which keeps it finite."""
        return float(np.log(self._weighted(shape, 0)))

    def log_shares_slope(self, shape: float) -> float:
        """Its derivative after b."""
        return self._weighted(shape, 1) / self._weighted(shape, 0)

    def information(self, n: float, shape: float) -> float:
        """Of n events on the shape."""
        curvature = self._weighted(shape, 2) / self._weighted(shape, 0)
        return n * (1 / shape**2 + curvature - self.log_shares_slope(shape) ** 2)

    def events_worth(self, n: int, shape: float) -> float:
        """Events of one span from 0 that would tell as much of the rate at the largest end.

        The variance of the logarithm of that rate is 2 over this number; n where the spans are
        alike.
        """
        slope = 1 / shape - self.log_shares_slope(shape)
        return 2 / (1 / n + slope**2 / self.information(n, shape))

    def _weighted(self, shape: float, power: int) -> float:
        """``sum x^b (ln x)^k`` of ends less that of entries, as shares of the largest end."""
        # An entry at 0 adds nothing.
        if power == 0:
            # Ones apart: of short spans and small shapes they are nearly all there is.
            ones = len(self._log_ends) - len(self._log_entries)
            ends, entries = (
                float(np.expm1(shape * logs).sum()) for logs in (self._log_ends, self._log_entries)
            )
            return ones + (ends - entries)
        total = 0.0
        for logs, sign in ((self._log_ends, 1.0), (self._log_entries, -1.0)):
            total += sign * float((np.exp(shape * logs) * logs**power).sum())
        return total

    @cached_property
    def _log_ends(self) -> Floats:
        return np.log(self.end) - self.log_last

    @cached_property
    def _log_entries(self) -> Floats:
        return np.log(self.entry[self.entry > 0]) - self.log_last


def exact_shape(
    shape: Floats | float, n: Counts | int, evidence: Counts | int, level: float
) -> tuple[Floats, Floats]:
    """Exact limits of the shape where all were watched from 0 to one end, or of each unit.

    Parameters
    ----------
    shape : float or array
        By maximum likelihood.
    n, evidence : int or array
        Events, and how many of them are evidence: n ended by time, n - 1 by failure.
    level : float
        Two-sided.

    Returns
    -------
    tuple
        Lower and upper limit.

    Notes
    -----
    ``2 n b / estimate`` is chi-square on 2 `evidence` degrees of freedom.

    References
    ----------
    MIL-HDBK-189 (1981), appendix C; NIST/SEMATECH e-Handbook, 8.4.5.2.
    """
    df = 2 * np.asarray(evidence)
    with np.errstate(invalid="ignore", divide="ignore"):
        unit = shape / (2 * np.asarray(n))
        # chdtri takes the upper tail.
        return unit * chdtri(df, (1 + level) / 2), unit * chdtri(df, (1 - level) / 2)


def adjusted_shape(spans: Spans, n: int, shape: float, level: float) -> tuple[float, float]:
    """Limits of the shape where the units were watched over different spans.

    Notes
    -----
    Given n, the sum of ln t is the whole evidence on b in a family that is exponential in b. The
    signed root r of the likelihood ratio, adjusted as ``r + ln(q / r) / r`` with q the distance in
    standard errors, is standard normal to third order; alike spans give the exact limits to about
    three digits from two events on.

    References
    ----------
    O. E. Barndorff-Nielsen and D. R. Cox, "Inference and Asymptotics" (1994), chapter 6.
    """
    z = -float(ndtri((1 - level) / 2))

    def root(log_factor: float) -> float:
        return _adjusted_root(spans, n, shape, log_factor)

    low, high = _crossing(lambda x: root(x) - z), _crossing(lambda x: root(x) + z)
    return shape * float(np.exp(low)), shape * float(np.exp(high))


def approximate_mtbf(plain: float, events: float, level: float) -> tuple[float, float]:
    """Limits of the mean time between events at the end, ended by time.

    Parameters
    ----------
    plain : float
        That mean by maximum likelihood, uncorrected.
    events : float
        Events, or what they are worth (`Spans.events_worth`).
    level : float
        Two-sided.

    Returns
    -------
    tuple of float
        The upper limit is nan when a few events leave it open.

    Notes
    -----
    ``r^2 M / (r + z^2 / 4 + sqrt(r z^2 / 2 + z^4 / 16))^2`` and ``r^2 M / (r - z sqrt(r / 2))^2``;
    the handbook writes ``r (r - 1)`` times the corrected mean, which is the same.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.2.
    """
    z = -float(ndtri((1 - level) / 2))
    to_lower = events + z**2 / 4 + np.sqrt(events * z**2 / 2 + z**4 / 16)
    to_upper = events - z * np.sqrt(events / 2)
    upper = plain * (events / to_upper) ** 2 if to_upper > 0 else float("nan")
    return float(plain * (events / to_lower) ** 2), float(upper)


def exact_mtbf(plain: float, n: int, level: float) -> tuple[float, float]:
    """Limits of the mean time between events at the last of n events, ended by it.

    Notes
    -----
    The true mean over the estimate is ``n^2 / (G H)`` with G and H independent gamma variables of
    shapes n - 1 and n, whose product's distribution is integrated numerically.

    References
    ----------
    L. H. Crow, "Confidence interval procedures for the Weibull process with applications to
    reliability growth", Technometrics 24 (1982), 67-72.
    """
    low, high = _product_quantile(n, (1 - level) / 2), _product_quantile(n, (1 + level) / 2)
    return plain * n**2 / high, plain * n**2 / low


def _adjusted_root(spans: Spans, n: int, estimate: float, log_factor: float) -> float:
    """Standard normal when the estimate times the factor is true; falls with the factor."""
    if abs(log_factor) < _NEAR:
        low = _adjusted_root(spans, n, estimate, -_NEAR)
        high = _adjusted_root(spans, n, estimate, _NEAR)
        return low + (high - low) * (log_factor + _NEAR) / (2 * _NEAR)
    asked = estimate * float(np.exp(log_factor))
    fall = n * (
        -log_factor
        + (estimate - asked) * (spans.log_shares_slope(estimate) - 1 / estimate)
        - spans.log_shares(estimate)
        + spans.log_shares(asked)
    )
    root = -np.sign(log_factor) * np.sqrt(2 * fall)
    wald = (estimate - asked) * np.sqrt(spans.information(n, estimate))
    return float(root + np.log(wald / root) / root)


def _crossing(of_log: Callable[[float], float]) -> float:
    """Where a falling function of the logarithm of a factor crosses 0; -inf or inf if nowhere.

    nan where it leaves the range of numbers on the way: short spans far from 0 say next to nothing.
    """
    low = high = 1.0
    while (at_low := of_log(-low)) <= 0:
        low *= 2
        if low > _FARTHEST:
            return -np.inf
    while (at_high := of_log(high)) >= 0:
        high *= 2
        if high > _FARTHEST:
            return np.inf
    if np.isnan(at_low) or np.isnan(at_high):
        return np.nan
    return float(brentq(of_log, -low, high, xtol=1e-10))


@lru_cache(maxsize=64)
def _product_quantile(n: int, probability: float) -> float:
    """Quantile of the product of two independent gamma variables of shapes n - 1 and n."""

    def below(log_product: float) -> float:
        def part(log_own: float) -> float:
            own = np.exp(log_own)
            density = np.exp(n * log_own - own - gammaln(n))
            return float(gammainc(n - 1, np.exp(log_product - log_own)) * density)

        middle, width = np.log(n), 12 / np.sqrt(n)
        return (
            float(quad(part, middle - width - 12 / n, middle + width, limit=200)[0]) - probability
        )

    middle, width = 2 * np.log(n), 20 / np.sqrt(n) + 30 / n
    return float(np.exp(brentq(below, middle - width, middle + width, xtol=1e-10)))
