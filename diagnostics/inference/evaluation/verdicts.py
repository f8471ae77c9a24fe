"""What was named of a case held against the cause a person accepted, and what many come to."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass
from math import fsum, log
from typing import Any, TypeVar

from diagnostics.inference.evaluation.calibration import (
    Bin,
    Statement,
    brier_score,
    calibration_bins,
)
from diagnostics.inference.evaluation.rates import USUAL_LEVEL, Rate, rate_of
from diagnostics.inference.vocabulary import CauseClass

AMONG = 3

Word = TypeVar("Word", int, str)


@dataclass(frozen=True)
class Verdict:
    """One case.

    Attributes
    ----------
    class_rank, cause_rank : int or None
        1 where the true class or cause was named first; None where it was not named at all. Of
        several true ones the earliest counts.
    stated : float
        Probability of the class named first.
    of_truth : float
        Probability of the true class, of several the likeliest; 0 where it was not named.
    brier : float
        Squared distance of the classes from certainty about the truth, 0 to 2.
    has_answer : bool
        False where a cause was accepted before anything was named.
    """

    class_rank: int | None
    cause_rank: int | None
    stated: float
    of_truth: float
    brier: float
    has_answer: bool = True

    @property
    def is_first(self) -> bool:
        return self.class_rank == 1

    @property
    def is_among(self) -> bool:
        return self.class_rank is not None and self.class_rank <= AMONG


# A cause somebody knew without being told: named by nobody but them, so a miss.
NOT_NAMED = Verdict(None, None, 0.0, 0.0, 0.0, has_answer=False)


@dataclass(frozen=True)
class Named:
    """How often the truth was first, and among the first three."""

    first: Rate
    among: Rate

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Named":
        return cls(Rate(**kept["first"]), Rate(**kept["among"]))


@dataclass(frozen=True)
class Scores:
    """What some cases come to, at least one.

    Attributes
    ----------
    cases : int
    classes, causes : Named
        By class, and by the cause itself.
    answered : int
        Cases that had an answer; only these count below.
    calibration : tuple of Bin
        Of the probability stated of the class named first.
    brier : float or None
        Mean; None without an answer.
    log_score : float or None
        Mean natural logarithm of the probability of the true class, over the cases where it has
        any; None where none has.
    impossible : int
        Answered cases whose true class had no probability at all.
    """

    cases: int
    classes: Named
    causes: Named
    answered: int
    calibration: tuple[Bin, ...]
    brier: float | None
    log_score: float | None
    impossible: int

    def as_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Scores":
        """The inverse of `as_json`."""
        named = {name: Named.from_json(kept[name]) for name in ("classes", "causes")}
        bins = tuple(
            Bin(**{**one, "hit_rate": Rate(**one["hit_rate"])}) for one in kept["calibration"]
        )
        return cls(**{**kept, **named, "calibration": bins})


def named_of(ranks: Sequence[int | None], level: float = USUAL_LEVEL) -> Named:
    """From the rank of the truth in each case, at least one."""
    return Named(
        rate_of((one == 1 for one in ranks), level),
        rate_of((one is not None and one <= AMONG for one in ranks), level),
    )


def scores_of(verdicts: Sequence[Verdict], level: float = USUAL_LEVEL) -> Scores | None:
    """All figures of some cases; None of no case.

    Parameters
    ----------
    verdicts : sequence of Verdict
    level : float
        Two-sided, of every interval.
    """
    if not verdicts:
        return None
    answered = [one for one in verdicts if one.has_answer]
    possible = [one.of_truth for one in answered if one.of_truth > 0]
    return Scores(
        cases=len(verdicts),
        classes=named_of([one.class_rank for one in verdicts], level),
        causes=named_of([one.cause_rank for one in verdicts], level),
        answered=len(answered),
        calibration=calibration_bins(
            (Statement(one.stated, one.is_first) for one in answered), level
        ),
        brier=fsum(one.brier for one in answered) / len(answered) if answered else None,
        log_score=fsum(map(log, possible)) / len(possible) if possible else None,
        impossible=len(answered) - len(possible),
    )


def verdict_on(
    classes: Sequence[tuple[CauseClass | str, float]],
    causes: Sequence[str],
    *,
    true_classes: Collection[str],
    true_causes: Collection[str],
) -> Verdict:
    """An answer as it was kept, held against what a person accepted later.

    Parameters
    ----------
    classes : sequence of (class, float)
        With their probabilities, the likeliest first.
    causes : sequence of str
        Slugs in the order named; a cause not among them was not named.
    true_classes, true_causes : collection of str
        Of all accepted causes.
    """
    shares = {str(name): share for name, share in classes}
    true = max(sorted(true_classes), key=lambda one: shares.get(one, 0.0))
    return Verdict(
        class_rank=rank_of([str(name) for name, _share in classes], true_classes),
        cause_rank=rank_of(causes, true_causes),
        stated=classes[0][1] if classes else 0.0,
        of_truth=shares.get(true, 0.0),
        brier=brier_score(shares, true),
    )


def rank_of(order: Sequence[Word], true: Collection[Word]) -> int | None:
    """Place of the earliest true one, from 1; None where none is there."""
    return next((place for place, one in enumerate(order, start=1) if one in true), None)
