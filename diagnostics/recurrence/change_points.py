"""When did the rate change, if it did? One change, of all units together; pure.

After a campaign the rate may change at once, late, or not at all. Before and after the change the
units have one constant rate each period; the change may lie anywhere in the stretch looked at.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import gammaln

from diagnostics.recurrence.histories import Floats, Histories

# The prior of either rate is worth half an event at the pooled rate: it settles what no event
# would leave open, and weighs little beside two.
_PRIOR_EVENTS = 0.5
# Points of Gauss and Legendre between two events, where the density is smooth.
_POINTS = 12


@dataclass(frozen=True)
class ChangePoint:
    """Where a change would lie, whether there was one, and what it did.

    Attributes
    ----------
    mode, lower, upper : float
        Likeliest time of the change, and its equal-tailed interval.
    probability : float
        That there was a change at all, held as likely as not beforehand.
    rate_before, rate_after : float
        Mean rates before and after, over all times the change may have had.
    """

    mode: float
    lower: float
    upper: float
    probability: float
    rate_before: float
    rate_after: float


def find_change(
    histories: Histories, *, level: float = 0.90, since: float = 0.0, until: float | None = None
) -> ChangePoint | None:
    """The time at which the pooled rate most likely changed.

    Parameters
    ----------
    histories : Histories
        On a clock that all units share, calendar days for instance.
    level : float
        Of the interval.
    since, until : float
        The change is looked for between these; after a campaign, since its day. All of the time
        watched unless given.

    Returns
    -------
    ChangePoint or None
        None without events.

    Raises
    ------
    ValueError
        Level out of range, or nothing watched between `since` and `until`.

    Notes
    -----
    Uniform prior of the time; gamma priors with shape 1/2 and the pooled mean for both rates, which
    then drop out: the density of a change at t is proportional to
    ``G(n1 + 1/2) / (E1(t) + c)^(n1 + 1/2) G(n2 + 1/2) / (E2(t) + c)^(n2 + 1/2)`` with n1, n2 events
    and E1, E2 exposures before and after t and c half the pooled time between events.

    References
    ----------
    A. E. Raftery and V. E. Akman, "Bayesian analysis of a Poisson process with a change-point",
    Biometrika 73 (1986), 85-89.
    """
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, got {level}")
    low = max(since, float(histories.entry.min()))
    high = float(histories.end.max())
    high = high if until is None else min(until, high)
    if not low < high:
        raise ValueError(f"nothing is watched between {since} and {until}")
    if not histories.events:
        return None
    grid = _grid(histories, low, high)
    log_density = _log_density(histories, grid.time)
    top = float(log_density.max())
    mass = grid.weight * np.exp(log_density - top)
    whole = float(mass.sum())
    # Against one rate for all: the mean over the times a change may have had.
    log_factor = top + np.log(whole / (high - low)) - _log_one_rate(histories)
    before, after = _rates(histories, grid)
    return ChangePoint(
        mode=_likeliest(histories, grid.edges),
        lower=_quantile(grid, mass, (1 - level) / 2),
        upper=_quantile(grid, mass, (1 + level) / 2),
        probability=float(1 / (1 + np.exp(-log_factor))),
        rate_before=float((mass * before).sum() / whole),
        rate_after=float((mass * after).sum() / whole),
    )


@dataclass(frozen=True, eq=False)
class _Grid:
    """Times between the places where the density jumps or bends, with their share of time."""

    time: Floats
    weight: Floats
    edges: Floats


def _grid(histories: Histories, low: float, high: float) -> _Grid:
    bends = np.concatenate((histories.time, histories.entry, histories.end, (low, high)))
    edges = np.unique(np.clip(bends, low, high))
    nodes, weights = np.polynomial.legendre.leggauss(_POINTS)
    half = np.diff(edges)[:, None] / 2
    time = edges[:-1, None] + half * (nodes + 1)
    return _Grid(time.ravel(), (half * weights).ravel(), edges)


def _split(
    histories: Histories, time: Floats, side: Literal["left", "right"] = "right"
) -> tuple[Floats, Floats, float]:
    """Events and exposure before each time, and the exposure that half an event is worth.

    An event at the very time counts as before it, unless its `side` is left.
    """
    events = np.searchsorted(histories.time, time, side=side).astype(float)
    bends = np.unique(np.concatenate((histories.entry, histories.end)))
    watched = np.searchsorted(np.sort(histories.entry), bends[:-1], side="right")
    watched = watched - np.searchsorted(np.sort(histories.end), bends[:-1], side="right")
    exposed = np.concatenate(([0.0], np.cumsum(watched * np.diff(bends))))
    worth = _PRIOR_EVENTS * float(histories.exposure.sum()) / histories.events
    return events, np.interp(time, bends, exposed), worth


def _likeliest(histories: Histories, edges: Floats) -> float:
    """Between two events the density has no top of its own: the best of their two sides."""
    sides = (
        _log_density(histories, edges[1:], side="left"),
        _log_density(histories, edges[:-1]),
    )
    return float(np.concatenate((edges[1:], edges[:-1]))[np.argmax(np.concatenate(sides))])


def _log_density(
    histories: Histories, time: Floats, side: Literal["left", "right"] = "right"
) -> Floats:
    events, exposed, worth = _split(histories, time, side)
    whole = float(histories.exposure.sum())
    return _log_evidence(events, exposed, worth) + _log_evidence(
        histories.events - events, whole - exposed, worth
    )


def _log_evidence(events: Floats, exposed: Floats, worth: float) -> Floats:
    """Log likelihood of the times of events at one rate, that rate averaged over its prior."""
    shape = events + _PRIOR_EVENTS
    return (
        gammaln(shape)
        - gammaln(_PRIOR_EVENTS)
        + _PRIOR_EVENTS * np.log(worth)
        - shape * np.log(exposed + worth)
    )


def _log_one_rate(histories: Histories) -> float:
    whole = float(histories.exposure.sum())
    worth = _PRIOR_EVENTS * whole / histories.events
    return float(_log_evidence(np.array(float(histories.events)), np.array(whole), worth))


def _rates(histories: Histories, grid: _Grid) -> tuple[Floats, Floats]:
    events, exposed, worth = _split(histories, grid.time)
    whole = float(histories.exposure.sum())
    before = (events + _PRIOR_EVENTS) / (exposed + worth)
    after = (histories.events - events + _PRIOR_EVENTS) / (whole - exposed + worth)
    return before, after


def _quantile(grid: _Grid, mass: Floats, share: float) -> float:
    sums = np.cumsum(mass)
    return float(np.interp(share * sums[-1], sums, grid.time))
