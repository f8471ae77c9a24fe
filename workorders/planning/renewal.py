"""How often one place has had to be renewed by an age, each new part being as good as the first."""

import math

import numpy as np

from workorders.planning.lives import Numbers
from workorders.planning.weibull import Weibull

_SETTLED_AFTER = 20.0
_STEPS_PER_MEAN = 100


def expected_renewals(life: Weibull, until: float, steps: int) -> Numbers:
    """Mean number of failures by each of evenly spaced ages, every failure replaced at once.

    Parameters
    ----------
    life : Weibull
    until : float
        The last age, > 0. [unit of age]
    steps : int
        How many even steps to it, at least 1.

    Returns
    -------
    array, shape (steps + 1,)
        At ages 0, until/steps, ..., until.

    Notes
    -----
    Solves the renewal equation M(t) = F(t) + integral_0^t F(t - x) dM(x) by the midpoint rule of
    Riemann-Stieltjes sums; with 400 steps over three mean lives the error is below 0.2 %, for
    shapes of 1 and more below 0.01 %.

    References
    ----------
    M. Xie, On the solution of renewal-type integral equations, Comm. Statist. Simulation Comput.
    18 (1989) 281-293.
    """
    if not (until > 0 and math.isfinite(until)):
        raise ValueError(f"until must be finite and > 0, got {until!r}")
    if steps < 1:
        raise ValueError(f"steps must be at least 1, got {steps!r}")
    step = until / steps
    at_steps = _failed(life, step * np.arange(steps + 1, dtype=float))
    at_middles = _failed(life, step * (np.arange(steps, dtype=float) + 0.5))
    renewals, grown = np.zeros(steps + 1), np.zeros(steps)
    for one in range(1, steps + 1):
        # What failed between earlier steps and failed again; the newest step is on both sides.
        again = float(grown[: one - 1] @ at_middles[one - 1 : 0 : -1])
        known = at_steps[one] + again - at_middles[0] * renewals[one - 1]
        renewals[one] = known / (1 - at_middles[0])
        grown[one - 1] = renewals[one] - renewals[one - 1]
    return renewals


def expected_renewals_at(life: Weibull, ages: Numbers) -> Numbers:
    """Mean number of failures by each of evenly spaced ages that begin one step above 0.

    Past twenty mean lives, where the grid would be too coarse for the early ones, the even rate
    that renewals settle to: M(t) = t / mean + (variance / mean^2 - 1) / 2 (renewal theorem).
    """
    until, settled = float(ages[-1]), _SETTLED_AFTER * life.mean
    if until <= settled:
        return expected_renewals(life, until, len(ages))[1:]
    steps = _STEPS_PER_MEAN * int(_SETTLED_AFTER)
    early = np.interp(
        ages, np.linspace(0, settled, steps + 1), expected_renewals(life, settled, steps)
    )
    # Of a Weibull life, mean square over squared mean; by logarithms, as both may be large.
    squares = math.exp(math.lgamma(1 + 2 / life.shape) - 2 * math.lgamma(1 + 1 / life.shape))
    return np.where(ages <= settled, early, ages / life.mean + squares / 2 - 1)


def _failed(life: Weibull, ages: Numbers) -> Numbers:
    with np.errstate(over="ignore"):
        return -np.expm1(-((ages / life.scale) ** life.shape))
