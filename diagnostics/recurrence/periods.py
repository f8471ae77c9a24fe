"""Two periods of the same belts compared: did the rate change, and by how much; pure."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import betainc, betaincc, betaincinv

from diagnostics.recurrence.histories import Floats


@dataclass(frozen=True, eq=False)
class Comparison:
    """Arrays where arrays were given.

    Attributes
    ----------
    ratio : float
        Later rate over earlier rate; inf without earlier events, nan without any.
    lower, upper : float
        Exact limits of the ratio; inf where there is no upper one.
    p_two_sided : float
        Probability of counts as unequal as these if the rates were equal; 1 without events.
    """

    ratio: Floats
    lower: Floats
    upper: Floats
    p_two_sided: Floats


def compare_periods(
    earlier: Any, earlier_exposure: Any, later: Any, later_exposure: Any, *, level: float = 0.90
) -> Comparison:
    """Ratio of the rates of two periods with exact limits.

    Parameters
    ----------
    earlier, later : int or array-like of int
        Events of the two periods, from 0; one entry a belt to compare many at once.
    earlier_exposure, later_exposure : float or array-like
        Time watched in them, > 0, in the same unit.
    level : float
        Two-sided level of the limits.

    Returns
    -------
    Comparison

    Raises
    ------
    ValueError
        A figure is out of range.

    Notes
    -----
    Given the sum of both counts, the later one is binomial with share
    ``later_exposure ratio / (earlier_exposure + later_exposure ratio)``; the exact binomial limits
    of the share become those of the ratio. They keep at least their level. The probability is twice
    the smaller tail.

    References
    ----------
    C. J. Clopper and E. S. Pearson, Biometrika 26 (1934), 404-413; J. Przyborowski and
    H. Wilenski, "Homogeneity of results in testing samples from Poisson series", Biometrika 31
    (1940), 313-323.
    """
    before, after = np.asarray(earlier, dtype=float), np.asarray(later, dtype=float)
    first, second = np.asarray(earlier_exposure, float), np.asarray(later_exposure, float)
    _check(before, after, first, second, level)
    tail = (1 - level) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = (after / second) / (before / first)
        # A share at its end has no limit there; the beta quantile is not defined.
        low = np.where(after > 0, betaincinv(np.maximum(after, 1), before + 1, tail), 0.0)
        high = np.where(before > 0, betaincinv(after + 1, np.maximum(before, 1), 1 - tail), 1.0)
        lower, upper = (share / (1 - share) * first / second for share in (low, high))
    share = second / (first + second)
    few = np.where(before > 0, betaincc(after + 1, np.maximum(before, 1), share), 1.0)
    many = np.where(after > 0, betainc(np.maximum(after, 1), before + 1, share), 1.0)
    return Comparison(ratio, lower, upper, np.minimum(2 * np.minimum(few, many), 1.0))


def _check(before: Floats, after: Floats, first: Floats, second: Floats, level: float) -> None:
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, got {level}")
    for name, counts in (("earlier", before), ("later", after)):
        if not (np.isfinite(counts) & (counts >= 0) & (counts == np.floor(counts))).all():
            raise ValueError(f"{name} must be whole numbers from 0")
    for name, times in (("earlier_exposure", first), ("later_exposure", second)):
        if not (np.isfinite(times) & (times > 0)).all():
            raise ValueError(f"{name} must be finite and > 0")
