"""The share that survives each age, without assuming a kind of life (Kaplan-Meier)."""

import math
from dataclasses import dataclass

from workorders.planning.lives import Lives
from workorders.planning.quantiles import normal_quantile


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
    reach = normal_quantile(level)
    steps = []
    at_risk, log_survival, variance = lives.count, 0.0, 0.0
    for age, failed, taken_out in zip(lives.ages, lives.failures, lives.taken_out, strict=True):
        if failed == at_risk:
            steps.append(SurvivalStep(age, 0.0, None, None, None))
        elif failed:
            # Integers until the division, so that very large counts keep their digits.
            log_survival += math.log1p(-failed / at_risk)
            variance += failed / (at_risk * (at_risk - failed))
            steps.append(_step(age, log_survival, math.sqrt(variance), reach))
        at_risk -= failed + taken_out
    return tuple(steps)


def _step(age: float, log_survival: float, relative_se: float, reach: float) -> SurvivalStep:
    survival = math.exp(log_survival)
    spread = math.exp(min(reach * relative_se / -log_survival, _GREATEST_POWER))
    return SurvivalStep(
        age,
        survival,
        survival * relative_se,
        math.exp(log_survival * spread),
        math.exp(log_survival / spread),
    )


# exp of more overflows; limits are 0 and 1 to the last digit long before.
_GREATEST_POWER = 700.0
