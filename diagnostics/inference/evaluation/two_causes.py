"""What the cases with two causes at once come to."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from diagnostics.inference.evaluation.hits import Hits, hits_as_json, hits_beside
from diagnostics.inference.evaluation.judging import Judged
from diagnostics.inference.evaluation.rates import Rate, rate_of

AMONG = 2
AMONG_KEY = "one_among_first_two"


@dataclass(frozen=True)
class TwoCauses:
    """Scores of cases with two causes.

    Attributes
    ----------
    cases : int
    hits : dict of str to Hits
        One of the two first, and at least one among the first two classes.
    recognised : Rate
        Explained by two causes at once at all.
    both_in_best_pair : Rate
        The likeliest pair is of the two true classes.
    """

    cases: int
    hits: dict[str, Hits]
    recognised: Rate
    both_in_best_pair: Rate

    def as_json(self) -> dict[str, Any]:
        return {
            "cases": self.cases,
            **hits_as_json(self.hits, AMONG_KEY),
            "recognised_as_two": self.recognised.as_json(),
            "both_in_best_pair": self.both_in_best_pair.as_json(),
        }


def two_causes_scores(judged: Sequence[Judged], level: float) -> TwoCauses:
    """Scores of cases with two causes, at least one.

    Parameters
    ----------
    judged : sequence of Judged
        Each with two true classes.
    level : float
        Two-sided, of every interval.
    """
    return TwoCauses(
        cases=len(judged),
        hits=hits_beside(judged, AMONG, level),
        recognised=rate_of((bool(one.best_pair) for one in judged), level),
        both_in_best_pair=rate_of(
            (sorted(one.best_pair) == sorted(one.truth) for one in judged), level
        ),
    )
