"""How long a fix holds: time to recurrence with fixes that still hold; pure.

A duration runs from the passed proof run to the recurrence, or, where the fault has not come back,
to the end of watching. The same serves causes, or crews without their names.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import chdtrc, ndtri

from diagnostics.recurrence.histories import Counts, Floats


@dataclass(frozen=True, eq=False)
class Survival:
    """Share of fixes that still hold, a step at each time one failed.

    Attributes
    ----------
    time, survival : array of float
    at_risk, failed : array of int
    se : array of float
        By Greenwood's formula; nan where the share has come to 0.
    lower, upper : array of float
        Two-sided limits on the scale of log(-log), within 0 and 1; nan with `se`.
    median : float
        When half have come back; nan while more than half hold.
    """

    time: Floats
    survival: Floats
    at_risk: Counts
    failed: Counts
    se: Floats
    lower: Floats
    upper: Floats
    median: float


@dataclass(frozen=True, eq=False)
class LogRank:
    """Did the groups hold equally long? `observed` and `expected` recurrences by group."""

    groups: tuple[Hashable, ...]
    observed: Counts
    expected: Floats
    chi2: float
    df: int
    p: float


def kaplan_meier(durations: Any, came_back: Any, *, level: float = 0.90) -> Survival:
    """Share of fixes that hold beyond each time.

    Parameters
    ----------
    durations : array-like of float
        Time held so far, > 0.
    came_back : array-like of bool
        False where the fix still held at that time.
    level : float
        Two-sided level of the limits.

    Returns
    -------
    Survival
        Empty arrays and a median of nan when nothing came back.

    Raises
    ------
    ValueError
        A figure is out of range.

    Notes
    -----
    ``S = prod (1 - d / n)``, ``se = S sqrt(sum d / (n (n - d)))``; one that held to the very time
    of another's recurrence counts among those at risk then. Limits
    ``S^exp(+- z se / (S |ln S|))``.

    References
    ----------
    E. L. Kaplan and P. Meier, Journal of the American Statistical Association 53 (1958), 457-481;
    limits: J. D. Kalbfleisch and R. L. Prentice, "The Statistical Analysis of Failure Time Data"
    (1980), section 1.3.
    """
    times, failures = _checked(durations, came_back, level)
    time, failed = np.unique(times[failures], return_counts=True)
    at_risk = _at_risk(times, time)
    survival = np.cumprod(1 - failed / at_risk, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        greenwood = np.sqrt(np.cumsum(failed / (at_risk * (at_risk - failed))))
        se = np.where(survival > 0, survival * greenwood, np.nan)
        reach = np.exp(ndtri((1 + level) / 2) * greenwood / np.abs(np.log(survival)))
        lower = np.where(survival > 0, survival**reach, np.nan)
        upper = np.where(survival > 0, survival ** (1 / reach), np.nan)
    half = np.flatnonzero(survival <= 0.5)
    median = float(time[half[0]]) if len(half) else float("nan")
    return Survival(time, survival, at_risk, failed, se, lower, upper, median)


def compare_groups(durations: Any, came_back: Any, groups: Sequence[Hashable]) -> LogRank:
    """The log-rank test: are the times to recurrence of several groups alike?

    Parameters
    ----------
    durations, came_back
        As for `kaplan_meier`.
    groups : sequence
        The fix, cause or crew of each.

    Returns
    -------
    LogRank
        chi2 and p are nan with fewer than two groups or when nothing came back.

    Raises
    ------
    ValueError
        A figure is out of range, or not one group each.

    Notes
    -----
    Observed less expected recurrences with their hypergeometric covariance, one group left out;
    chi-square with one degree of freedom less than groups.

    References
    ----------
    R. Peto and J. Peto, "Asymptotically efficient rank invariant test procedures", Journal of the
    Royal Statistical Society A 135 (1972), 185-207.
    """
    times, failures = _checked(durations, came_back, 0.9)
    if len(groups) != len(times):
        raise ValueError(f"each duration needs a group, not {len(times)} and {len(groups)}")
    names = tuple(dict.fromkeys(groups))
    place = {name: index for index, name in enumerate(names)}
    member = np.array([place[name] for name in groups], dtype=np.int64)
    time, failed = np.unique(times[failures], return_counts=True)
    own = [_at_risk(times[member == one], time) for one in range(len(names))]
    at_risk = np.array(own, dtype=float).reshape(len(names), len(time))
    expected = (at_risk / at_risk.sum(axis=0) * failed).sum(axis=1)
    observed = np.bincount(member[failures], minlength=len(names))
    df = len(names) - 1
    chi2 = _chi2(observed - expected, at_risk, failed)
    return LogRank(names, observed, expected, chi2, df, float(chdtrc(df, chi2)))


def _chi2(excess: Floats, at_risk: Floats, failed: Counts) -> float:
    """Excess by its covariance; nan when there is nothing to compare."""
    together = at_risk.sum(axis=0)
    share = at_risk / together
    # The last one at risk fails for sure, and tells nothing.
    spread = failed * (together - failed) / np.maximum(together - 1, 1)
    covariance = np.diag((share * spread).sum(axis=1)) - (share * spread) @ share.T
    # Without the last group it is regular, but for groups that were never at risk together.
    kept = covariance[:-1, :-1]
    if not kept.size or not kept.any():
        return float("nan")
    return float(excess[:-1] @ np.linalg.pinv(kept, hermitian=True) @ excess[:-1])


def _at_risk(times: Floats, at: Floats) -> Counts:
    """How many durations reach each time."""
    return len(times) - np.searchsorted(np.sort(times), at, side="left")


def _checked(durations: Any, came_back: Any, level: float) -> tuple[Floats, np.ndarray]:
    times, failures = np.asarray(durations, dtype=float), np.asarray(came_back, dtype=bool)
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, got {level}")
    if times.shape != failures.shape or times.ndim != 1:
        raise ValueError("each duration needs to be said to have come back or not")
    if not (np.isfinite(times) & (times > 0)).all():
        raise ValueError("durations must be finite and > 0")
    return times, failures
