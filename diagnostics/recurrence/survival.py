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

# A half that logarithms have made a digit larger is a half.
_ROUNDED = 1 + 1e-12


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


def kaplan_meier(
    durations: Any, came_back: Any, *, level: float = 0.90, count: Any = 1
) -> Survival:
    """Share of fixes that hold beyond each time.

    Parameters
    ----------
    durations : array-like of float
        Time held so far, > 0.
    came_back : array-like of bool
        False where the fix still held at that time.
    level : float
        Two-sided level of the limits.
    count : array-like of int, one a duration, or one for all
        How many are alike, from 1.

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
    many = np.broadcast_to(np.asarray(count, dtype=float), times.shape)
    if not (np.isfinite(many) & (many >= 1)).all():
        raise ValueError("count must be finite and at least 1")
    time, step = np.unique(times[failures], return_inverse=True)
    failed = np.bincount(step, many[failures], len(time))
    at_risk = _at_risk(times, time, many)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # By logarithms: of very many, one failure leaves a share next to 1.
        log_survival = np.cumsum(np.log1p(-failed / at_risk))
        survival = np.exp(log_survival)
        greenwood = np.sqrt(np.cumsum(failed / (at_risk * (at_risk - failed))))
        reach = np.exp(-ndtri((1 - level) / 2) * greenwood / np.abs(log_survival))
        some = survival > 0
        se = np.where(some, survival * greenwood, np.nan)
        lower = np.where(some, np.exp(log_survival * reach), np.nan)
        upper = np.where(some, np.exp(log_survival / reach), np.nan)
    half = np.flatnonzero(survival <= 0.5 * _ROUNDED)
    median = float(time[half[0]]) if len(half) else float("nan")
    counts = at_risk.astype(np.int64), failed.astype(np.int64)
    return Survival(time, survival, *counts, se, lower, upper, median)


def compare_groups(
    durations: Any,
    came_back: Any,
    groups: Sequence[Hashable],
    *,
    strata: Sequence[Hashable] | None = None,
) -> LogRank:
    """The log-rank test: are the times to recurrence of several groups alike?

    Parameters
    ----------
    durations, came_back
        As for `kaplan_meier`.
    groups : sequence
        The fix, cause or crew of each.
    strata : sequence, optional
        What each is to be compared within, such as the cause family: a group that mends what
        comes back anyway is then not taken for a worse one.

    Returns
    -------
    LogRank
        chi2 and p are nan with fewer than two groups or when nothing came back. Groups that no
        stratum holds together with another cost no degree of freedom.

    Raises
    ------
    ValueError
        A figure is out of range, or not one group or stratum each.

    Notes
    -----
    Observed less expected recurrences with their hypergeometric covariance, both summed over the
    strata; chi-square with as many degrees of freedom as the covariance has rank, which is one
    less than the groups when all of them can be compared.

    References
    ----------
    R. Peto and J. Peto, "Asymptotically efficient rank invariant test procedures", Journal of the
    Royal Statistical Society A 135 (1972), 185-207; strata: J. D. Kalbfleisch and R. L. Prentice,
    "The Statistical Analysis of Failure Time Data" (1980), section 1.4.
    """
    times, failures = _checked(durations, came_back, 0.9)
    if len(groups) != len(times):
        raise ValueError(f"each duration needs a group, not {len(times)} and {len(groups)}")
    if strata is not None and len(strata) != len(times):
        raise ValueError(f"each duration needs a stratum, not {len(times)} and {len(strata)}")
    names = tuple(dict.fromkeys(groups))
    place = {name: index for index, name in enumerate(names)}
    member = np.array([place[name] for name in groups], dtype=np.int64)
    expected, covariance = np.zeros(len(names)), np.zeros((len(names), len(names)))
    for within in _strata(strata, len(times)):
        own, spread = _expected(times[within], failures[within], member[within], len(names))
        expected, covariance = expected + own, covariance + spread
    observed = np.bincount(member[failures], minlength=len(names))
    chi2, df = _chi2(observed - expected, covariance)
    return LogRank(names, observed, expected, chi2, df, float(chdtrc(df, chi2)))


def _strata(strata: Sequence[Hashable] | None, size: int) -> list[Counts]:
    """Places of each stratum; one of all without strata."""
    if strata is None:
        return [np.arange(size)]
    places: dict[Hashable, list[int]] = {}
    for place, name in enumerate(strata):
        places.setdefault(name, []).append(place)
    return [np.array(own, dtype=np.int64) for own in places.values()]


def _expected(
    times: Floats, failures: np.ndarray, member: Counts, groups: int
) -> tuple[Floats, Floats]:
    """Expected recurrences by group and their covariance, all taken as alike."""
    time, failed = np.unique(times[failures], return_counts=True)
    one_each = np.ones(len(times))
    own = [_at_risk(times[member == one], time, one_each[member == one]) for one in range(groups)]
    at_risk = np.array(own, dtype=float).reshape(groups, len(time))
    together = at_risk.sum(axis=0)
    share = at_risk / together
    # The last one at risk fails for sure, and tells nothing.
    spread = failed * (together - failed) / np.maximum(together - 1, 1)
    covariance = np.diag((share * spread).sum(axis=1)) - (share * spread) @ share.T
    return (share * failed).sum(axis=1), covariance


def _chi2(excess: Floats, covariance: Floats) -> tuple[float, int]:
    """Excess by its covariance, with its degrees of freedom; nan when nothing is compared."""
    # Without the last group it is regular, but for groups that were never at risk together.
    kept = covariance[:-1, :-1]
    if not kept.size or not kept.any():
        return float("nan"), max(len(excess) - 1, 0)
    chi2 = excess[:-1] @ np.linalg.pinv(kept, hermitian=True) @ excess[:-1]
    return float(chi2), int(np.linalg.matrix_rank(kept, hermitian=True))


def _at_risk(times: Floats, at: Floats, many: Floats) -> Floats:
    """How many reach each time."""
    order = np.argsort(times, kind="stable")
    from_there = np.append(np.cumsum(many[order][::-1])[::-1], 0.0)
    return from_there[np.searchsorted(times[order], at, side="left")]


def _checked(durations: Any, came_back: Any, level: float) -> tuple[Floats, np.ndarray]:
    times, failures = np.asarray(durations, dtype=float), np.asarray(came_back, dtype=bool)
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, got {level}")
    if times.shape != failures.shape or times.ndim != 1:
        raise ValueError("each duration needs to be said to have come back or not")
    if not (np.isfinite(times) & (times > 0)).all():
        raise ValueError("durations must be finite and > 0")
    return times, failures
