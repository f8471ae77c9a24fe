"""What changed from one stored answer to the next, for whoever read the earlier one."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

# Smaller shifts of a probability tell nobody anything; engineering judgement.
LEAST_SHIFT = 0.05


@dataclass(frozen=True)
class Shift:
    """A class of causes that gained or lost; probabilities 0 to 1."""

    cause_class: str
    before: float
    after: float


@dataclass(frozen=True)
class Moved:
    """Pairs are (before, after) and None where nothing changed; an onset is a station or empty."""

    pattern: tuple[str, str] | None
    onset: tuple[str, str] | None
    first: tuple[str, str] | None
    shifts: tuple[Shift, ...]

    @property
    def is_nothing(self) -> bool:
        return not (self.pattern or self.onset or self.first or self.shifts)


def what_moved(earlier: Mapping[str, Any], later: Mapping[str, Any]) -> Moved:
    """Compare two answers in the published form.

    Parameters
    ----------
    earlier, later : mapping
        Answers to the same case, as `Answer.as_json` gives them.

    Returns
    -------
    Moved
        Shifts of at least 0.05, the largest first.
    """
    return Moved(
        pattern=_changed(earlier["pattern"], later["pattern"]),
        onset=_changed(_onset(earlier), _onset(later)),
        first=_changed(_first(earlier), _first(later)),
        shifts=shifts_between(_shares(earlier), _shares(later)),
    )


def shifts_between(before: Mapping[str, float], after: Mapping[str, float]) -> tuple[Shift, ...]:
    """Classes whose probability moved by at least 0.05, the most moved first."""
    shifts = [
        Shift(name, before.get(name, 0.0), after.get(name, 0.0)) for name in {*before, *after}
    ]
    # A hair of slack, so that a shift of just the least counts whatever the binary fractions say.
    told = [one for one in shifts if abs(one.after - one.before) >= LEAST_SHIFT - 1e-9]
    return tuple(sorted(told, key=lambda one: (-abs(one.after - one.before), one.cause_class)))


def _shares(answer: Mapping[str, Any]) -> dict[str, float]:
    return {one["class"]: one["probability"] for one in answer["classes"]}


def _onset(answer: Mapping[str, Any]) -> str:
    onset = answer["onset"]
    return str(onset["station"]) if onset else ""


def _first(answer: Mapping[str, Any]) -> str:
    return str(answer["ranked"][0]["cause"]) if answer["ranked"] else ""


def _changed(before: str, after: str) -> tuple[str, str] | None:
    return (before, after) if before != after else None
