"""At which age replacing before the failure costs least.

Everything is replaced at its failure or when it reaches the age, whichever comes first, and is then
as good as new; the cost per unit of age follows from renewal reasoning.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from scipy.optimize import brentq
from scipy.special import gamma, gammainc

from workorders.planning.weibull import Weibull

# exp of more is past what a float holds.
_GREATEST_POWER = 700.0
# A planned replacement this much cheaper than a failure is a slip of the pen.
LEAST_COST_RATIO = 1e-12


class NoOptimum(StrEnum):
    """Why running to failure is never dearer than replacing earlier."""

    NO_WEAR = "no_wear"
    NO_SAVING = "no_saving"
    BEYOND_REACH = "beyond_reach"


@dataclass(frozen=True)
class AgeReplacement:
    """The cheapest age to replace at.

    Attributes
    ----------
    age : float or None
        None where running to failure is cheapest; `reason` then says why.
    cost_rate : float
        Long-run cost per unit of age, at `age` or when run to failure.
    of_run_to_failure : float
        `cost_rate` against that of running to failure, at most 1.
    """

    age: float | None
    cost_rate: float
    of_run_to_failure: float
    reason: NoOptimum | None = None


def best_replacement_age(life: Weibull, planned_cost: float, failure_cost: float) -> AgeReplacement:
    """The age of least cost per unit of age.

    Parameters
    ----------
    life : Weibull
        Of finite mean.
    planned_cost, failure_cost : float
        Everything one replacement costs before the failure, and at it; finite and > 0. [currency]

    Returns
    -------
    AgeReplacement

    Raises
    ------
    ValueError
        If a cost is not finite and above 0, the planned one is below 1e-12 of the other, or the
        mean life is infinite.

    Notes
    -----
    Cost rate C(T) = (c_p R(T) + c_f F(T)) / integral_0^T R. For c_f > c_p and a rising failure rate
    h without bound (shape > 1) it has one minimum, where h(T) integral_0^T R - F(T) =
    c_p / (c_f - c_p); otherwise it falls towards c_f / mean and there is no finite optimum. With
    v = (T/scale)^shape the integral is scale Gamma(1 + 1/shape) P(1/shape, v), P the regularised
    lower incomplete gamma function. Costs are not discounted, replacing takes no time.

    References
    ----------
    R. E. Barlow, F. Proschan, Mathematical Theory of Reliability, Wiley 1965, chapter 4.
    """
    for name, cost in (("planned_cost", planned_cost), ("failure_cost", failure_cost)):
        if not (cost > 0 and math.isfinite(cost)):
            raise ValueError(f"{name} must be finite and > 0, got {cost!r}")
    if planned_cost < LEAST_COST_RATIO * failure_cost:
        raise ValueError(
            f"planned_cost must be at least 1e-12 of failure_cost, got {planned_cost!r}"
        )
    if not math.isfinite(life.mean):
        raise ValueError(f"the mean life must be finite, got {life!r}")
    if planned_cost >= failure_cost:
        return _run_to_failure(life, failure_cost, NoOptimum.NO_SAVING)
    if life.shape <= 1:
        return _run_to_failure(life, failure_cost, NoOptimum.NO_WEAR)
    found = _log_power_at_optimum(life.shape, planned_cost / (failure_cost - planned_cost))
    age = life.scale * math.exp(found / life.shape) if found is not None else math.inf
    if found is None or not 0 < age < math.inf:
        return _run_to_failure(life, failure_cost, NoOptimum.BEYOND_REACH)
    power = math.exp(found)
    cycle_cost = planned_cost * math.exp(-power) - failure_cost * math.expm1(-power)
    rate = cycle_cost / (life.scale * _mean_to(life.shape, power))
    return AgeReplacement(age, rate, min(1.0, rate * life.mean / failure_cost))


def _run_to_failure(life: Weibull, failure_cost: float, reason: NoOptimum) -> AgeReplacement:
    return AgeReplacement(None, failure_cost / life.mean, 1.0, reason)


def _mean_to(shape: float, power: float) -> float:
    """Integral of the survival to the age whose power (age/scale)^shape is given, in scales."""
    return float(gamma(1 + 1 / shape) * gammainc(1 / shape, power))


def _log_power_at_optimum(shape: float, saving: float) -> float | None:
    """ln of (age/scale)^shape at the optimum, None where it is out of reach."""

    def beyond(log_power: float) -> float:
        # h(T) times the integral, with the scale gone; grows without bound for a shape above 1.
        power = math.exp(log_power)
        rate = shape * math.exp(log_power * (1 - 1 / shape))
        return rate * _mean_to(shape, power) + math.expm1(-power) - saving

    low, high = 0.0, 1.0
    while beyond(low) > 0:
        low = 2 * low - 1
    while beyond(high) < 0:
        high *= 2
        if high > _GREATEST_POWER:
            return None
    return float(brentq(beyond, low, high, xtol=1e-13))
