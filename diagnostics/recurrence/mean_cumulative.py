"""Mean cumulative function: events a unit has had by a given age, on average; pure.

No shape of growth is assumed. Units may enter late and leave early. With `weight`, a unit counts
for so many (metres of belt, tonnes an hour) and the mean is that of one of them.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from scipy.special import ndtri

from diagnostics.recurrence.histories import Counts, Floats, Histories


class Variance(StrEnum):
    """Where the standard error comes from.

    `ROBUST` (Lawless and Nadeau) compares the units with each other and holds for any dependence
    between the events of one unit; `POISSON` takes events as independent.
    """

    ROBUST = "robust"
    POISSON = "poisson"


@dataclass(frozen=True, eq=False)
class MeanCumulative:
    """A step at each distinct event time.

    Attributes
    ----------
    time, mcf : array of float
        Event times ascending; mean number of events up to and with each.
    at_risk : array of float
        Weight of the units watched at each time.
    events : array of int
        Events at each time.
    se, lower, upper : array of float
        Standard error and two-sided limits; nan where the data cannot say (one unit, robust).
    """

    time: Floats
    mcf: Floats
    at_risk: Floats
    events: Counts
    se: Floats
    lower: Floats
    upper: Floats


def mean_cumulative(
    histories: Histories,
    *,
    level: float = 0.90,
    variance: Variance = Variance.ROBUST,
    weight: Any = 1.0,
) -> MeanCumulative:
    """Mean number of events of a unit up to each age, with limits.

    Read it as the course of a plant's average belt: bent upward it gets worse, bent downward
    better.

    Parameters
    ----------
    histories : Histories
    level : float
        Two-sided level of the limits, between 0 and 1.
    variance : Variance
    weight : array-like of float, one a unit, or one for all
        What a unit counts for, > 0.

    Returns
    -------
    MeanCumulative
        Empty arrays without events.

    Raises
    ------
    ValueError
        Level or weight out of range.

    Notes
    -----
    With ``w.(t)`` the weight watched at ``t`` and ``d(t)`` the events then,
    ``M(t) = sum d(s) / w.(s)`` over ``s <= t``. Poisson: ``var M = sum d(s) / w.(s)^2``. Robust:
    ``var M = sum_i R_i(t)^2``, ``R_i(t) = sum Y_i(s) / w.(s) (d_i(s) - w_i d(s) / w.(s))``.
    Limits: ``M exp(-+ z se / M)``.
    The squares are carried along from event to event, so that the cost is that of sorting, not
    units times events.

    References
    ----------
    J. F. Lawless and C. Nadeau, "Some simple robust methods for the analysis of recurrent
    events", Technometrics 37 (1995), 158-168.
    """
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, got {level}")
    weights = np.broadcast_to(np.asarray(weight, dtype=float), (histories.units,))
    if not (np.isfinite(weights).all() and (weights > 0).all()):
        raise ValueError("weight must be finite and > 0")
    time, step, events = np.unique(histories.time, return_inverse=True, return_counts=True)
    at_risk = _watched(histories, time, weights)
    mcf = np.cumsum(events / at_risk)
    if variance is Variance.POISSON:
        squares = np.cumsum(events / at_risk**2)
    elif histories.units < 2:
        squares = np.full(len(time), np.nan)
    else:
        squares = _robust(histories, weights, _Steps(time, step, events, at_risk))
    se = np.sqrt(squares)
    reach = np.exp(-ndtri((1 - level) / 2) * se / mcf)
    return MeanCumulative(time, mcf, at_risk, events, se, mcf / reach, mcf * reach)


@dataclass(frozen=True, eq=False)
class _Steps:
    """Distinct event times, and of each event which of them it is."""

    time: Floats
    of_event: Counts
    events: Counts
    at_risk: Floats


def _watched(histories: Histories, time: Floats, figure: Floats) -> Floats:
    """Sum of a figure over the units watched at each time."""
    return _up_to(histories.entry, figure, time) - _up_to(histories.end, figure, time)


def _up_to(place: Floats, figure: Floats, time: Floats) -> Floats:
    """Sum of the figures whose place lies before each time."""
    order = np.argsort(place, kind="stable")
    sums = np.concatenate(([0.0], np.cumsum(figure[order])))
    return sums[np.searchsorted(place[order], time, side="left")]


def _robust(histories: Histories, weights: Floats, steps: _Steps) -> Floats:
    """Sum over the units of their squared residuals after each step.

    A step takes ``w_i h`` from the residual of every watched unit (``h = d / w.^2``) and adds
    ``1 / w.`` for each event of its own; the change of the sum of squares needs no more than the
    sum of ``w_i R_i`` over the watched units and the residuals of those with events.
    """
    fall = steps.events / steps.at_risk**2
    fallen = np.concatenate(([0.0], np.cumsum(fall)))
    rise = 1 / steps.at_risk
    unit, step, own = _own_events(histories, steps)
    before_entry = fallen[np.searchsorted(steps.time, histories.entry, side="right")]
    had = _had_before(unit, own * rise[step])
    # Residuals of the units with events, just before the step and after its common fall.
    before = had - weights[unit] * (fallen[step] - before_entry[unit])
    lowered = before - weights[unit] * fall[step]
    raised = own * rise[step]
    size = len(steps.time)
    watched_square = _watched(histories, steps.time, weights**2)
    running = _running(histories, weights, steps, fallen, before_entry)
    own_change = np.bincount(step, (2 * lowered + raised) * raised, minlength=size)
    change = fall * (fall * watched_square - 2 * running) + own_change
    # What is left of digits cancelled may lie below 0.
    return np.maximum(np.cumsum(change), 0.0)


def _own_events(histories: Histories, steps: _Steps) -> tuple[Counts, Counts, Floats]:
    """Unit, step and number of a unit's events at one step, by unit and then step."""
    size = max(len(steps.time), 1)
    key, own = np.unique(histories.unit * size + steps.of_event, return_counts=True)
    return key // size, key % size, own.astype(float)


def _had_before(unit: Counts, raised: Floats) -> Floats:
    """What each unit's earlier events have added up to; rows by unit and then time."""
    sums = np.cumsum(raised) - raised
    begins = np.searchsorted(unit, unit, side="left")
    return sums - sums[begins]


def _running(
    histories: Histories,
    weights: Floats,
    steps: _Steps,
    fallen: Floats,
    before_entry: Floats,
) -> Floats:
    """Sum of ``w_i R_i`` over the watched units just before each step."""
    square = _watched(histories, steps.time, weights**2)
    fall = steps.events / steps.at_risk**2
    raised = weights[histories.unit] / steps.at_risk[steps.of_event]
    change = np.bincount(steps.of_event, raised, minlength=len(steps.time)) - fall * square
    before_end = fallen[np.searchsorted(steps.time, histories.end, side="right")]
    added = histories.sums(1 / steps.at_risk[steps.of_event])
    at_end = added - weights * (before_end - before_entry)
    gone = _up_to(histories.end, weights * at_end, steps.time)
    return np.cumsum(change) - change - gone
