"""The engine held against the truth of many cases: the whole of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from diagnostics.inference.evaluation.judging import Judged
from diagnostics.inference.evaluation.one_cause import OneCause, one_cause_scores
from diagnostics.inference.evaluation.rates import USUAL_LEVEL
from diagnostics.inference.evaluation.two_causes import TwoCauses, two_causes_scores

_CLASSES_SHOWN = 3


@dataclass(frozen=True)
class Evaluation:
    """Scores of all cases; `level` is that of every interval, two-sided."""

    level: float
    judged: tuple[Judged, ...]
    one_cause: OneCause | None
    two_causes: TwoCauses | None
    notes: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """Plain values; whatever is undefined is None, with a sentence in the notes beside it."""
        return {
            "cases": len(self.judged),
            "level": self.level,
            "one_cause": None if self.one_cause is None else self.one_cause.as_json(),
            "two_causes": None if self.two_causes is None else self.two_causes.as_json(),
            "judged": [_case_as_json(one) for one in self.judged],
            "notes": list(self.notes),
        }


def evaluate(judged: Iterable[Judged], level: float = USUAL_LEVEL) -> Evaluation:
    """Sum up judged cases; those of two causes at once stand apart.

    Parameters
    ----------
    judged : iterable of Judged
    level : float
        Two-sided, of every interval; between 0 and 1.

    Returns
    -------
    Evaluation
        `one_cause` and `two_causes` are None where there is no such case.
    """
    found = tuple(judged)
    single = [one for one in found if one.has_one_cause]
    double = [one for one in found if not one.has_one_cause]
    notes = []
    if not single:
        notes.append("No case has one cause: nothing to say of such.")
    if not double:
        notes.append("No case has two causes at once: nothing to say of such.")
    return Evaluation(
        level=level,
        judged=found,
        one_cause=one_cause_scores(single, level) if single else None,
        two_causes=two_causes_scores(double, level) if double else None,
        notes=tuple(notes),
    )


def _case_as_json(one: Judged) -> dict[str, Any]:
    notes = []
    if one.place.error_m is None and one.place.belt_error_m is None:
        notes.append("Truth or answer names no place.")
    return {
        "case": one.name,
        "truth": [name.value for name in one.truth],
        "first_three": [name.value for name in one.classes[:_CLASSES_SHOWN]],
        "stated": one.stated,
        "pair": [name.value for name in one.best_pair],
        "place_error_m": one.place.error_m,
        "belt_position_error_m": one.place.belt_error_m,
        "notes": notes,
    }
