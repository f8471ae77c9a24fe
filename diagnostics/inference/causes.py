"""The catalogue entry of a cause, and the rules that speak for and against causes, as data."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.inference.vocabulary import CauseClass, Pattern
from plant.loop.vocabulary import ComponentKind


@dataclass(frozen=True)
class LookAlike:
    cause: str
    tell_apart: str


@dataclass(frozen=True)
class ConfirmingCheck:
    """What to look at or measure to be sure of one cause; `unique` to that cause."""

    what: str
    minutes: float
    needs_stop: bool
    tools: tuple[str, ...] = ()


@dataclass(frozen=True)
class Cause:
    """One entry of the catalogue.

    Attributes
    ----------
    stands_at : frozenset of ComponentKind
        Kinds of component at which the cause can sit; empty for the belt and the surroundings.
    needs : frozenset of str
        Words of the feature `conveyor` that must hold ("reversing", "screw take-up"), else the
        cause is not possible on this conveyor.
    weight : float
        Base rate within its class, relative to the class's other causes; > 0.
    shift : str or None
        What a correction moves: "troughing idler", "return idler", "pulley bearing" ... or None
        when the mend is no shift.
    """

    slug: str
    name: str
    cause_class: CauseClass
    pattern: Pattern
    stands_at: frozenset[ComponentKind]
    needs: frozenset[str]
    weight: float
    shows: str
    look_alikes: tuple[LookAlike, ...]
    confirm: ConfirmingCheck
    correct: str
    shift: str | None
    size_unit: str | None
    tolerance: str
    cautions: tuple[str, ...]
    work_method: str
    source: str


@dataclass(frozen=True)
class Speaks:
    """`ratio` > 1 speaks for the cause, < 1 against: a likelihood ratio."""

    cause: str
    ratio: float


@dataclass(frozen=True)
class Rule:
    """Trade knowledge: when every feature named in `when` has one of its words, `speaks` holds."""

    slug: str
    says: str
    when: Mapping[str, frozenset[str]]
    speaks: tuple[Speaks, ...]
    source: str
    version: int


@dataclass(frozen=True)
class Knowledge:
    """One version of catalogue and rules; `cautions` maps a caution's slug to its sentence."""

    version: str
    causes: Mapping[str, Cause]
    rules: tuple[Rule, ...]
    cautions: Mapping[str, str]
