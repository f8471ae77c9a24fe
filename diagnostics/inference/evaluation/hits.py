"""How often a true class is named early: by the engine, and by the rule of the onset beside it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from diagnostics.inference.evaluation.judging import Judged
from diagnostics.inference.evaluation.rates import Rate, rate_of
from diagnostics.inference.vocabulary import CauseClass

_RANKINGS: dict[str, Callable[[Judged], Sequence[CauseClass]]] = {
    "engine": lambda one: one.classes,
    "onset_rule": lambda one: one.by_onset,
    "onset_rule_with_reach": lambda one: one.by_onset_with_reach,
}
ENGINE, ONSET_RULE, ONSET_RULE_WITH_REACH = _RANKINGS


@dataclass(frozen=True)
class Hits:
    """Of one way to rank: a true class first, and among the first so many."""

    first: Rate
    among: Rate


def hits_beside(judged: Sequence[Judged], among: int, level: float) -> dict[str, Hits]:
    """Hits of the engine and of the rule of the onset on the same cases, at least one.

    Parameters
    ----------
    judged : sequence of Judged
        At least one.
    among : int
        How many of the first classes count as "among".
    level : float
        Two-sided, of the intervals.

    Returns
    -------
    dict of str to Hits
        Under `engine`, `onset_rule`, `onset_rule_with_reach`.

    Notes
    -----
    Of two true causes it is enough that one is named.
    """
    return {
        name: Hits(_rate(judged, order, 1, level), _rate(judged, order, among, level))
        for name, order in _RANKINGS.items()
    }


def hits_as_json(found: dict[str, Hits], among: str) -> dict[str, Any]:
    """The engine's own, and the rule of the onset one level below."""

    def plain(one: Hits) -> dict[str, Any]:
        return {"first": one.first.as_json(), among: one.among.as_json()}

    return plain(found[ENGINE]) | {
        name: plain(found[name]) for name in (ONSET_RULE, ONSET_RULE_WITH_REACH)
    }


def _rate(
    judged: Sequence[Judged],
    order: Callable[[Judged], Sequence[CauseClass]],
    count: int,
    level: float,
) -> Rate:
    return rate_of((any(name in one.truth for name in order(one)[:count]) for one in judged), level)
