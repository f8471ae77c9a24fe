"""Whether stated probabilities are honest: a table of bins, and two scores."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, TypeVar

from diagnostics.inference.evaluation.rates import Rate, rate_of

# Fewer cases tell nothing: with 50, chance alone moves a hit rate by 0.07 (one standard error).
LEAST_IN_BIN = 50
MOST_BINS = 8

Name = TypeVar("Name", bound=str)


@dataclass(frozen=True)
class Statement:
    """What an answer stated of its first class, and whether that class was right."""

    probability: float
    is_right: bool


@dataclass(frozen=True)
class Bin:
    """Answers that stated about the same; `mean_stated` should be near `hit_rate.share`."""

    stated_from: float
    stated_to: float
    mean_stated: float
    hit_rate: Rate

    @property
    def difference(self) -> float:
        """Stated less true: positive where the answers are too sure."""
        return self.mean_stated - self.hit_rate.share

    def as_json(self) -> dict[str, Any]:
        return {
            "stated_from": self.stated_from,
            "stated_to": self.stated_to,
            "cases": self.hit_rate.of,
            "mean_stated": self.mean_stated,
            "hit_rate": self.hit_rate.as_json(),
            "difference": self.difference,
        }


def calibration_bins(statements: Iterable[Statement], level: float) -> tuple[Bin, ...]:
    """Answers ordered by what they stated, in bins of about the same number.

    Bins of equal number, not of equal width: otherwise most of them would hold too few cases.

    Parameters
    ----------
    statements : iterable of Statement
    level : float
        Two-sided, of the interval of each hit rate.

    Returns
    -------
    tuple of Bin
        From the least sure on, at most 8, each of at least 50 cases; one bin of all where there
        are fewer than 100, none of no statement.
    """
    ordered = sorted(statements, key=lambda one: (one.probability, one.is_right))
    if not ordered:
        return ()
    count = min(max(len(ordered) // LEAST_IN_BIN, 1), MOST_BINS)
    edges = [len(ordered) * number // count for number in range(count + 1)]
    return tuple(_bin(ordered[start:end], level) for start, end in pairwise(edges))


def _bin(members: Sequence[Statement], level: float) -> Bin:
    return Bin(
        stated_from=members[0].probability,
        stated_to=members[-1].probability,
        mean_stated=math.fsum(one.probability for one in members) / len(members),
        hit_rate=rate_of((one.is_right for one in members), level),
    )


def brier_score(shares: Mapping[Name, float], truth: Name) -> float:
    """Squared distance of the stated probabilities from certainty about the truth.

    Parameters
    ----------
    shares : mapping of CauseClass (or its word) to float
        Probability of each class; a class that is not there counts as 0.
    truth : CauseClass or its word

    Returns
    -------
    float
        0 for certainty about the truth, 2 for certainty about something else; 0.89 for nine
        classes held even.

    Notes
    -----
    ``sum over classes of (p - o)^2`` with o = 1 for the truth, else 0.

    References
    ----------
    G. W. Brier, "Verification of forecasts expressed in terms of probability", Monthly Weather
    Review 78 (1950), 1-3.
    """
    missed = {truth: 0.0} | dict(shares)
    return math.fsum((share - (name == truth)) ** 2 for name, share in missed.items())
