"""What the engine answers; the keys of `as_json` are those of the published contract."""

from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from diagnostics.inference.posterior import Likelihoods
from diagnostics.inference.vocabulary import CauseClass, Pattern
from plant.loop.vocabulary import Run, Side, Zone


@dataclass(frozen=True)
class Onset:
    station: str
    run: Run
    position_m: float


@dataclass(frozen=True)
class Correction:
    """First step of a mend: move `what` at `where` by so much, which way, then look again."""

    what: str
    where: str
    move_mm: float | None
    direction: str
    wait_revolutions: int
    look_for: str


@dataclass(frozen=True)
class Weighing:
    """One line of a suspicion's sum: what was seen, and its factor on the odds."""

    says: str
    factor: float


@dataclass(frozen=True)
class Sum:
    """``start_odds x the factors`` are the odds of a suspicion; shown on the site."""

    start_odds: float
    lines: tuple[Weighing, ...]


@dataclass(frozen=True)
class Suspicion:
    """A hypothesis: one cause at one place.

    `position_m` and its bounds are loop positions, `belt_position_m` for causes that travel.
    `side` is the side to which the belt is driven where the cause acts. `sum` is no key of the
    contract: its reasons say the same in sentences.
    """

    cause: str
    cause_class: CauseClass
    zone: Zone | None
    component: str | None
    position_m: float | None
    position_lower_m: float | None
    position_upper_m: float | None
    belt_position_m: float | None
    side: Side | None
    bows_to: Side | None
    size: float | None
    size_unit: str | None
    probability: float
    reasons: tuple[str, ...]
    against: tuple[str, ...]
    correction: Correction | None
    sum: Sum

    def as_json(self) -> dict[str, Any]:
        plain = asdict(self)
        del plain["sum"]
        return _plain(plain)


@dataclass(frozen=True)
class ClassShare:
    cause_class: CauseClass
    probability: float


@dataclass(frozen=True)
class Pair:
    causes: tuple[str, str]
    probability: float


@dataclass(frozen=True)
class NextCheck:
    """`information` is in bits expected from the check."""

    what: str
    where: str
    minutes: float
    needs_stop: bool
    information: float


@dataclass(frozen=True)
class Answer:
    pattern: Pattern
    onset: Onset | None
    ranked: tuple[Suspicion, ...]
    classes: tuple[ClassShare, ...]
    pairs: tuple[Pair, ...]
    sufficient: bool
    next_checks: tuple[NextCheck, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    likelihoods: Likelihoods

    def as_json(self, case: str | int) -> dict[str, Any]:
        """The contract's object for one case: plain values only, `class` for `cause_class`."""
        return {
            "case": case,
            "pattern": self.pattern.value,
            "onset": None if self.onset is None else _plain(asdict(self.onset)),
            "ranked": [one.as_json() for one in self.ranked],
            "classes": [_plain(asdict(one)) for one in self.classes],
            "pairs": [_plain(asdict(one)) for one in self.pairs],
            "sufficient": self.sufficient,
            "next_checks": [_plain(asdict(one)) for one in self.next_checks],
            "cautions": list(self.cautions),
            "notes": list(self.notes),
        }


def _plain(fields: dict[str, Any]) -> dict[str, Any]:
    """What JSON knows: words for enumerations, lists for tuples."""
    return {
        ("class" if key == "cause_class" else key): _plain_field(one) for key, one in fields.items()
    }


def _plain_field(value: Any) -> Any:
    if isinstance(value, StrEnum):
        return value.value
    return list(value) if isinstance(value, tuple) else value
