"""The change of some belts beside that of others in the same two periods; pure.

The others had the same weather and tonnage, but not the campaign.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import gammaln

from diagnostics.recurrence.histories import Floats
from diagnostics.recurrence.periods import Comparison, compare_periods


@dataclass(frozen=True)
class Counted:
    """Events of some belts in both periods, with their exposures > 0."""

    earlier: int
    earlier_exposure: float
    later: int
    later_exposure: float


def compare_with_others(
    chosen: Counted, others: Counted, *, level: float = 0.90
) -> Comparison | None:
    """How the change of the chosen belts compares with that of the others.

    Parameters
    ----------
    chosen, others : Counted
    level : float
        Two-sided level of the limits.

    Returns
    -------
    Comparison or None
        `ratio` is the chosen belts' ratio of rates over that of the others, by conditional maximum
        likelihood; None where either has no event, or a period has none.

    Raises
    ------
    ValueError
        A figure is out of range.

    Notes
    -----
    Given the sums of both belts and both periods, the four Poisson counts are a table whose odds
    ratio is the wanted ratio times that of the exposures; its exact limits become those of the
    ratio. What changed for all belts alike drops out. The probability is twice the smaller tail.

    References
    ----------
    R. A. Fisher, Journal of the Royal Statistical Society 98 (1935), 39-54; J. Cornfield, "A
    statistical problem arising from retrospective studies", Proceedings of the Third Berkeley
    Symposium 4 (1956), 135-148.
    """
    for one in (chosen, others):
        # Refuses what is out of range, for each of the two alone.
        compare_periods(
            one.earlier, one.earlier_exposure, one.later, one.later_exposure, level=level
        )
    later, earlier = chosen.later + others.later, chosen.earlier + others.earlier
    mine = chosen.later + chosen.earlier
    if not (later and earlier and mine and others.later + others.earlier):
        return None
    shift = (chosen.later_exposure / chosen.earlier_exposure) / (
        others.later_exposure / others.earlier_exposure
    )
    table = _Table(later, earlier, mine)
    low, high = table.limits(chosen.later, level)
    p = table.p_two_sided(chosen.later, float(np.log(shift)))
    figures = (table.odds(chosen.later) / shift, low / shift, high / shift, p)
    return Comparison(*(np.asarray(figure, dtype=float) for figure in figures))


class _Table:
    """What the count of one cell can be, and its chances for a given odds ratio.

    Fisher's noncentral hypergeometric distribution, by logarithms over the whole of its support.
    """

    # No odds ratio of counts that a plant can have lies beyond this. [natural logarithm]
    _REACH = 60.0

    def __init__(self, later: int, earlier: int, mine: int) -> None:
        self._count = np.arange(max(0, mine - earlier), min(mine, later) + 1)
        k = self._count
        self._log_ways = -sum(
            gammaln(one + 1.0) for one in (k, later - k, mine - k, earlier - mine + k)
        )

    def odds(self, seen: int) -> float:
        """By conditional maximum likelihood: the mean is what was seen."""
        if seen == self._count[0]:
            return 0.0
        if seen == self._count[-1]:
            return float("inf")
        return self._root(lambda log_odds: float(self._chances(log_odds) @ self._count) - seen)

    def limits(self, seen: int, level: float) -> tuple[float, float]:
        tail = (1 - level) / 2
        low, high = 0.0, float("inf")
        if seen > self._count[0]:
            low = self._root(lambda log_odds: self._at_least(seen, log_odds) - tail)
        if seen < self._count[-1]:
            high = self._root(lambda log_odds: tail - self._at_most(seen, log_odds))
        return low, high

    def p_two_sided(self, seen: int, log_odds: float) -> float:
        tails = self._at_least(seen, log_odds), self._at_most(seen, log_odds)
        return min(2 * min(tails), 1.0)

    def _root(self, rising: Callable[[float], float]) -> float:
        return float(np.exp(brentq(rising, -self._REACH, self._REACH, xtol=1e-12)))

    def _at_least(self, seen: int, log_odds: float) -> float:
        return float(self._chances(log_odds)[self._count >= seen].sum())

    def _at_most(self, seen: int, log_odds: float) -> float:
        return float(self._chances(log_odds)[self._count <= seen].sum())

    def _chances(self, log_odds: float) -> Floats:
        log_chance = self._log_ways + self._count * log_odds
        chances = np.exp(log_chance - log_chance.max())
        return chances / chances.sum()
