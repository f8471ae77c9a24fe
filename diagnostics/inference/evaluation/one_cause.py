"""What the cases with one cause come to."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from math import fsum, inf, log
from typing import Any

from diagnostics.inference.evaluation.calibration import (
    LEAST_IN_BIN,
    Bin,
    Statement,
    brier_score,
    calibration_bins,
)
from diagnostics.inference.evaluation.hits import Hits, hits_as_json, hits_beside
from diagnostics.inference.evaluation.judging import Judged
from diagnostics.inference.evaluation.places import PlaceScores, places_of
from diagnostics.inference.evaluation.rates import Rate, rate_of
from diagnostics.inference.vocabulary import CauseClass

AMONG = 3
AMONG_KEY = "first_three"


# Faint, plain and strong effects, as the eye takes them. [mm]
_EFFECTS_MM = (0.0, 50.0, 80.0)


@dataclass(frozen=True)
class ByEffect:
    """Cases whose cause moves the belt by `from_mm` or more; below `to_mm`, unless that is None."""

    from_mm: float
    to_mm: float | None
    hits: dict[str, Hits]

    def as_json(self) -> dict[str, Any]:
        notes = ["There is no upper bound."] if self.to_mm is None else []
        return {
            "from_mm": self.from_mm,
            "to_mm": self.to_mm,
            **hits_as_json(self.hits, AMONG_KEY),
            "notes": notes,
        }


@dataclass(frozen=True)
class OneCause:
    """Scores of cases with one cause.

    Attributes
    ----------
    cases : int
    hits : dict of str to Hits
        First and among the first three classes, of the engine and of the rule of the onset.
    by_class : dict of CauseClass to dict of str to Hits
        The same by true class.
    by_effect : tuple of ByEffect
        The same by the largest change of offset that the cause makes, where the file states it.
    places : PlaceScores
    calibration : tuple of Bin
        Of the probability stated of the first class.
    brier : float
        Mean over the cases.
    mean_log_probability : float or None
        Natural logarithm of the probability of the true class; None where that is 0 in a case.
    sufficient : Rate
        The answer says that the evidence supports it.
    called_two : Rate
        Taken for two causes at once, wrongly.
    """

    cases: int
    hits: dict[str, Hits]
    by_class: dict[CauseClass, dict[str, Hits]]
    by_effect: tuple[ByEffect, ...]
    places: PlaceScores
    calibration: tuple[Bin, ...]
    brier: float
    mean_log_probability: float | None
    sufficient: Rate
    called_two: Rate
    notes: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "cases": self.cases,
            **hits_as_json(self.hits, AMONG_KEY),
            "by_class": [
                {"class": name.value, **hits_as_json(hits, AMONG_KEY)}
                for name, hits in self.by_class.items()
            ],
            "by_peak_effect": [one.as_json() for one in self.by_effect],
            **self.places.as_json(),
            "calibration": [one.as_json() for one in self.calibration],
            "brier": self.brier,
            "mean_log_probability": self.mean_log_probability,
            "sufficient": self.sufficient.as_json(),
            "called_two": self.called_two.as_json(),
            "notes": list(self.notes),
        }


def one_cause_scores(judged: Sequence[Judged], level: float) -> OneCause:
    """Scores of cases with one cause, at least one.

    Parameters
    ----------
    judged : sequence of Judged
        Each with one true class.
    level : float
        Two-sided, of every interval.
    """
    places = places_of(judged, level)
    surprises = [one.name for one in judged if one.stated_of_truth <= 0]
    return OneCause(
        cases=len(judged),
        hits=hits_beside(judged, AMONG, level),
        by_class=_by_class(judged, level),
        by_effect=tuple(_by_effect(judged, level)),
        places=places,
        calibration=calibration_bins(
            (Statement(one.stated, one.first_is_right) for one in judged), level
        ),
        brier=fsum(brier_score(one.shares, one.truth[0]) for one in judged) / len(judged),
        mean_log_probability=None
        if surprises
        else fsum(log(one.stated_of_truth) for one in judged) / len(judged),
        sufficient=rate_of((one.is_sufficient for one in judged), level),
        called_two=rate_of((bool(one.best_pair) for one in judged), level),
        notes=(*places.notes, *_notes(len(judged), surprises)),
    )


def _by_class(judged: Sequence[Judged], level: float) -> dict[CauseClass, dict[str, Hits]]:
    return {
        name: hits_beside(mine, AMONG, level)
        for name in CauseClass
        if (mine := [one for one in judged if one.truth[0] is name])
    }


def _by_effect(judged: Sequence[Judged], level: float) -> Iterator[ByEffect]:
    for low_mm, high_mm in zip_longest(_EFFECTS_MM, _EFFECTS_MM[1:]):
        mine = [
            one
            for one in judged
            if one.peak_effect_mm is not None
            and low_mm <= one.peak_effect_mm < (inf if high_mm is None else high_mm)
        ]
        if mine:
            yield ByEffect(low_mm, high_mm, hits_beside(mine, AMONG, level))


def _notes(cases: int, surprises: Sequence[str | int]) -> tuple[str, ...]:
    notes = []
    if surprises:
        notes.append(
            f"The true class has no probability at all in {len(surprises)} of the cases (the first "
            f"is {surprises[0]}): no mean log probability."
        )
    if cases < LEAST_IN_BIN:
        notes.append(
            f"With fewer than {LEAST_IN_BIN} cases of one cause the calibration is one bin, and "
            "chance moves it far."
        )
    return tuple(notes)
