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
    watch, grid = _Watch(histories), _grid(histories, low, high)
    # Between two edges the number of events before the change is the same.
    events = watch.events_before(grid.edges[:-1])[:, None]
    exposed = watch.exposed_before(grid.time)
    log_density = watch.log_density(events, exposed)
    top = float(log_density.max())
    mass = grid.weight * np.exp(log_density - top)
    # Against one rate for all: the mean over the times a change may have had.
    log_factor = top + np.log(mass.sum() / (high - low)) - watch.log_one_rate
    before, after = (np.average(one, weights=mass) for one in watch.rates(events, exposed))
    return ChangePoint(
        mode=_likeliest(watch, grid.edges),
        lower=_quantile(grid, mass, (1 - level) / 2),
        upper=_quantile(grid, mass, (1 + level) / 2),
        probability=float(1 / (1 + np.exp(-log_factor))),
        rate_before=float(before),
        rate_after=float(after),
    )


@dataclass(frozen=True, eq=False)
class _Grid:
    """Times between neighbouring edges, one row each, with their share of time.

    At the edges the density jumps or bends; between them it is smooth.
    """

    edges: Floats
    time: Floats
    weight: Floats


def _grid(histories: Histories, low: float, high: float) -> _Grid:
    bends = np.concatenate((histories.time, histories.entry, histories.end, (low, high)))
    edges = np.unique(np.clip(bends, low, high))
    nodes, weights = np.polynomial.legendre.leggauss(_POINTS)
    half = np.diff(edges)[:, None] / 2
    return _Grid(edges, edges[:-1, None] + half * (nodes + 1), half * weights)


class _Watch:
    """Events and exposure of all units up to a time, and what a change then would explain."""

    def __init__(self, histories: Histories) -> None:
        self._time, self._count = histories.time, histories.events
        self._whole = float(histories.exposure.sum())
        # Exposure that the prior's half event is worth.
        self._worth = _PRIOR_EVENTS * self._whole / self._count
        entry, end = np.sort(histories.entry), np.sort(histories.end)
        self._bends = np.unique(np.concatenate((entry, end)))
        watched = np.searchsorted(entry, self._bends[:-1], side="right") - np.searchsorted(
            end, self._bends[:-1], side="right"
        )
        self._exposed = np.append(0.0, np.cumsum(watched * np.diff(self._bends)))

    def events_before(self, time: Floats, side: Literal["left", "right"] = "right") -> Floats:
        """An event at the very time counts as before it, unless its `side` is left."""
        return np.searchsorted(self._time, time, side=side).astype(float)

    def exposed_before(self, time: Floats) -> Floats:
        return np.interp(time, self._bends, self._exposed)

    def log_density(self, events: Floats, exposed: Floats) -> Floats:
        """Of a change after so many events in so much exposure, but for a constant."""
        after = self._log_evidence(self._count - events, self._whole - exposed)
        return self._log_evidence(events, exposed) + after

    @property
    def log_one_rate(self) -> float:
        """The same of no change."""
        return float(self._log_evidence(np.array(float(self._count)), np.array(self._whole)))

    def rates(self, events: Floats, exposed: Floats) -> tuple[Floats, Floats]:
        """Mean rates before and after."""
        before = (events + _PRIOR_EVENTS) / (exposed + self._worth)
        after = (self._count - events + _PRIOR_EVENTS) / (self._whole - exposed + self._worth)
        return before, after

    def _log_evidence(self, events: Floats, exposed: Floats) -> Floats:
        """Log likelihood of events at one rate, that rate averaged over its prior."""
        shape = events + _PRIOR_EVENTS
        ways = gammaln(shape) - gammaln(_PRIOR_EVENTS) + _PRIOR_EVENTS * np.log(self._worth)
        return ways - shape * np.log(exposed + self._worth)


def _likeliest(watch: _Watch, edges: Floats) -> float:
    """Between two edges the density has no top of its own: the best of their two sides."""
    exposed = watch.exposed_before(edges)
    to_right = watch.log_density(watch.events_before(edges), exposed)[:-1]
    to_left = watch.log_density(watch.events_before(edges, "left"), exposed)[1:]
    best = np.argmax(np.concatenate((to_right, to_left)))
    return float(np.concatenate((edges[:-1], edges[1:]))[best])


def _quantile(grid: _Grid, mass: Floats, share: float) -> float:
    sums = np.cumsum(mass)
    return float(np.interp(share * sums[-1], sums, grid.time.ravel()))
