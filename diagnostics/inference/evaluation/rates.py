"""Shares of cases, and how far chance may have moved them."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from statistics import NormalDist
from typing import Any

import numpy as np

USUAL_LEVEL = 0.95


@dataclass(frozen=True)
class Rate:
    """How many of how many, as a share with its interval."""

    hits: int
    of: int
    share: float
    lower: float
    upper: float

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True)
class Spread:
    """Median, quartiles and number of errors of place. [m]"""

    count: int
    lower_quartile_m: float
    median_m: float
    upper_quartile_m: float

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


def rate_or_none(right: Iterable[bool], level: float = USUAL_LEVEL) -> Rate | None:
    """The share that is right; None of no case at all."""
    counted = list(right)
    return rate_of(counted, level) if counted else None


def rate_of(right: Iterable[bool], level: float = USUAL_LEVEL) -> Rate:
    """The share that is right of at least one case, with Wilson's interval."""
    counted = list(right)
    hits, of = sum(counted), len(counted)
    lower, upper = wilson_interval(hits, of, level)
    return Rate(hits, of, hits / of, lower, upper)


def wilson_interval(hits: int, of: int, level: float = USUAL_LEVEL) -> tuple[float, float]:
    """Score interval of a binomial share.

    It keeps its level where a share is near 0 or 1, and for a few cases of one class, where the
    share plus and minus its standard error leaves the range from 0 to 1.

    Parameters
    ----------
    hits, of : int
        So many of so many, 0 <= hits <= of, of > 0.
    level : float
        Two-sided, between 0 and 1.

    Returns
    -------
    tuple of float
        Lower and upper limit, within 0 and 1.

    Raises
    ------
    ValueError
        If the counts or the level are out of range.

    Notes
    -----
    ``(p + z^2 / 2n -+ z sqrt(p (1 - p) / n + z^2 / 4n^2)) / (1 + z^2 / n)`` with ``p = hits / n``
    and z the quantile of the standard normal distribution at ``(1 + level) / 2``.

    References
    ----------
    E. B. Wilson, "Probable inference, the law of succession, and statistical inference", Journal
    of the American Statistical Association 22 (1927), 209-212.
    """
    if of < 1 or not 0 <= hits <= of:
        raise ValueError(f"hits must be 0 to of, and of at least 1, not {hits} of {of}")
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, not {level}")
    z = NormalDist().inv_cdf((1 + level) / 2)
    share = hits / of
    middle = share + z * z / (2 * of)
    reach = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    whole = 1 + z * z / of
    # Exactly 0 and 1 at the ends; the root leaves a last digit.
    lower = 0.0 if hits == 0 else max((middle - reach) / whole, 0.0)
    upper = 1.0 if hits == of else min((middle + reach) / whole, 1.0)
    return lower, upper


def spread_of(errors_m: Sequence[float]) -> Spread | None:
    """Median and quartiles, linear between order statistics; None of no error at all."""
    if not errors_m:
        return None
    lower, median, upper = (float(one) for one in np.percentile(errors_m, (25, 50, 75)))
    return Spread(len(errors_m), lower, median, upper)
