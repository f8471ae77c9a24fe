"""How long the belt takes once round: from the register, from passes of the splice, from the fold.

What is not known is carried along as a row of candidates with weights, so that place and weight of
a defect are averaged over it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.mechanics.nodes import Floats

# The revolution time is known this well from belt length and speed of the register: slip of the
# drive, wear of the lagging, length of the take-up; engineering judgement.
TIME_UNCERTAINTY = 0.025
# A pass of the splice is noted this well by hand; engineering judgement. [s]
PASS_ERROR_S = 0.5
# Passes that fit one another are believed up to this far from the register, beyond the clearly
# missed pass: between two whole turns nobody can tell which it was. Engineering judgement.
_BELIEVED = 0.25
_MOST_CANDIDATES = 401
# Standard errors on either side of the splice's revolution time that are tried.
_TRIED_ERRORS = 3.5


@dataclass(frozen=True)
class SpliceFit:
    """A straight line through the passes of the splice over the number of the turn.

    Attributes
    ----------
    turn_s, error_s : float
        Revolution time and its standard error. [s]
    passes_s : array, shape (n,)
        The passes. [s]
    numbers : array, shape (n,)
        In which turn each came, from 0.
    pass_error_s : float
        Standard error of one pass. [s]
    """

    turn_s: float
    error_s: float
    passes_s: Floats
    numbers: Floats
    pass_error_s: float


@dataclass(frozen=True)
class Turns:
    """Candidates of the revolution time.

    Attributes
    ----------
    seconds : array, shape (n,)
        [s]
    log_prior : array, shape (n,)
        Their log weights before the movement was looked at; the weights sum to 1.
    splice_s : array, shape (n,), or None
        A pass of the splice as each candidate has it; None when none was noted. [s]
    splice_error_s : float
        Standard error of that. [s]
    splices : SpliceFit or None
        None when fewer than two passes were noted, or they do not fit one another.
    """

    seconds: Floats
    log_prior: Floats
    splice_s: Floats | None
    splice_error_s: float
    splices: SpliceFit | None

    @property
    def middle_s(self) -> float:
        """Mean before the movement was looked at. [s]"""
        return float(np.sum(np.exp(self.log_prior) * self.seconds))


def candidates(
    register_s: float,
    passes_s: Sequence[float],
    watched_s: float,
    resolution_s: float,
    uncertainty: float = TIME_UNCERTAINTY,
) -> Turns:
    """The revolution times worth trying.

    Parameters
    ----------
    register_s : float
        Belt length over speed, > 0. [s]
    passes_s : sequence of float
        Passes of the reference splice, in any order; may be empty. [s]
    watched_s : float
        How long was watched, > 0. [s]
    resolution_s : float
        What may be blurred over the whole watch. [s]
    uncertainty : float
        How far the register may be off, as a share.
    """
    fit = fit_splices(passes_s, register_s)
    low, high = register_s * (1 - uncertainty), register_s * (1 + uncertainty)
    if fit is not None:
        reach = _TRIED_ERRORS * fit.error_s
        near = (max(low, fit.turn_s - reach), min(high, fit.turn_s + reach))
        # Where register and splice cannot both be right, the splice was seen.
        low, high = near if near[0] < near[1] else (fit.turn_s - reach, fit.turn_s + reach)
    wanted = (high - low) * (watched_s / register_s) / resolution_s
    count = min(max(2 * math.ceil(wanted / 2) + 1, 11), _MOST_CANDIDATES)
    seconds = np.linspace(low, high, count)
    log_prior = np.zeros(count)
    if fit is not None:
        log_prior = -0.5 * ((seconds - fit.turn_s) / fit.error_s) ** 2
    log_prior -= float(np.logaddexp.reduce(log_prior))
    splice_s, error_s = _splice_of(fit, passes_s, seconds)
    return Turns(seconds, log_prior, splice_s, error_s, fit)


def fit_splices(
    passes_s: Sequence[float], register_s: float, pass_error_s: float = PASS_ERROR_S
) -> SpliceFit | None:
    """A revolution time from passes of the splice; a pass may have been missed.

    Returns
    -------
    SpliceFit or None
        None for fewer than two passes, and where they fit no revolution time within a quarter of
        the register's.
    """
    passes = np.unique(np.asarray(passes_s, dtype=float))
    if len(passes) < 2:
        return None
    # A pass noted twice in a moment is one.
    passes = passes[np.concatenate([[True], np.diff(passes) > register_s / 4])]
    if len(passes) < 2:
        return None
    turn_s = register_s
    for _ in range(3):
        gaps = np.maximum(np.round(np.diff(passes) / turn_s), 1.0)
        numbers = np.concatenate([[0.0], np.cumsum(gaps)])
        turn_s = float(np.polyfit(numbers, passes, 1)[0])
    off = passes - np.polyval(np.polyfit(numbers, passes, 1), numbers)
    if abs(turn_s / register_s - 1) > _BELIEVED or np.abs(off).max() > 0.1 * turn_s:
        return None
    free = len(passes) - 2
    scatter = math.sqrt(float(np.sum(off**2)) / free) if free > 0 else 0.0
    error = max(pass_error_s, scatter)
    spread = math.sqrt(float(np.sum((numbers - numbers.mean()) ** 2)))
    return SpliceFit(turn_s, error / spread, passes, numbers, error)


def _splice_of(
    fit: SpliceFit | None, passes_s: Sequence[float], seconds: Floats
) -> tuple[Floats | None, float]:
    if fit is not None:
        middle = fit.passes_s.mean() - fit.numbers.mean() * seconds
        return middle, fit.pass_error_s / math.sqrt(len(fit.passes_s))
    if len(passes_s) == 0:
        return None, 0.0
    # One pass, or passes that do not fit: the first is believed.
    return np.full(len(seconds), float(min(passes_s))), PASS_ERROR_S


@dataclass(frozen=True)
class TurnTime:
    """Revolution time as it was found, beside the register's.

    Attributes
    ----------
    seconds, lower_s, upper_s : float
        Middle and 95 % interval. [s]
    register_s : float
        Belt length over speed of the register. [s]
    is_measured : bool
        False when neither passes of the splice nor the fold say more than the register.
    from_splice, from_fold : bool
        What it was measured by.
    """

    seconds: float
    lower_s: float
    upper_s: float
    register_s: float
    from_splice: bool
    from_fold: bool

    @property
    def is_measured(self) -> bool:
        return self.from_splice or self.from_fold

    @property
    def disagrees(self) -> bool:
        """The whole interval lies where the register cannot be right."""
        low = self.register_s * (1 - TIME_UNCERTAINTY)
        high = self.register_s * (1 + TIME_UNCERTAINTY)
        return self.is_measured and (self.upper_s < low or self.lower_s > high)


def turn_time(turns: Turns, weights: Floats, register_s: float) -> TurnTime:
    """Middle and interval of the weighted candidates.

    Parameters
    ----------
    turns : Turns
    weights : array, shape (n,)
        Weight of each candidate after everything was looked at, summing to 1.
    register_s : float
        [s]
    """
    before = np.exp(turns.log_prior)
    lower, middle, upper = (_quantile(turns.seconds, weights, q) for q in (0.025, 0.5, 0.975))
    width_before = _quantile(turns.seconds, before, 0.975) - _quantile(turns.seconds, before, 0.025)
    # An interval under two thirds of the one before: the movement itself told the time.
    from_fold = upper - lower < width_before * 2 / 3
    return TurnTime(middle, lower, upper, register_s, turns.splices is not None, from_fold)


def _quantile(seconds: Floats, weights: Floats, share: float) -> float:
    """Quantile of weights that stand for steps between the candidates."""
    step = seconds[1] - seconds[0] if len(seconds) > 1 else 0.0
    edges = np.concatenate([seconds - step / 2, [seconds[-1] + step / 2]])
    return float(np.interp(share, np.concatenate([[0.0], np.cumsum(weights)]), edges))
