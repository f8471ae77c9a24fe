"""The share that survives each age, without assuming a kind of life (Kaplan-Meier)."""

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.recurrence import survival
from workorders.planning.lives import Lives
from workorders.planning.quantiles import check_level


@dataclass(frozen=True)
class SurvivalStep:
    """The estimate from one failure age to the next.

    `se`, `lower` and `upper` are None where nothing survives: there the variance is undefined.
    """

    age: float
    survival: float
    se: float | None
    lower: float | None
    upper: float | None


def kaplan_meier(lives: Lives, level: float = 0.90) -> tuple[SurvivalStep, ...]:
    """Share that survives, at each age at which something failed.

    The estimate is that of `diagnostics.recurrence.survival`, where fixes are what survives.

    Parameters
    ----------
    lives : Lives
    level : float
        Two-sided confidence level of the limits at each single age, between 0 and 1.

    Returns
    -------
    tuple of SurvivalStep
        By rising age; empty without failures.

    Notes
    -----
    S = prod (1 - d/r) over failure ages, r the lives that reach the age; lives taken out at a
    failure age still count there. Standard error S sqrt(sum d / (r (r - d))) (Greenwood). Limits
    on the scale of log(-log S), S^exp(+-z se / (S |ln S|)), which stay between 0 and 1.

    References
    ----------
    E. L. Kaplan, P. Meier, J. Amer. Statist. Assoc. 53 (1958) 457-481; M. Greenwood 1926;
    J. D. Kalbfleisch, R. L. Prentice, The Statistical Analysis of Failure Time Data, section 1.4
    (the log(-log) limits).
    """
    check_level(level)
    counts = np.array((lives.failures, lives.taken_out), dtype=float)
    kind, place = np.nonzero(counts)
    found = survival.kaplan_meier(
        np.array(lives.ages)[place], kind == 0, level=level, count=counts[kind, place]
    )
    rows = zip(found.time, found.survival, found.se, found.lower, found.upper, strict=True)
    return tuple(_step(*(float(one) for one in row)) for row in rows)


def _step(age: float, share: float, *spread: float) -> SurvivalStep:
    se, lower, upper = (None if math.isnan(one) else one for one in spread)
    return SurvivalStep(age, share, se, lower, upper)
