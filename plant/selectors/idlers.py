"""The idler sets of a conveyor: its series, and what a line or a change would make of them."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from plant.loop.checks import check_parts, the_ends
from plant.loop.idler_changes import Change, Outcome, carry_out
from plant.loop.idler_line import IdlerLine
from plant.loop.idler_sets import GroupRow, IdlerSet, free_name, made_name, sets_of
from plant.loop.parts import GeometryError, IncompleteLoopError, Part
from plant.loop.vocabulary import RETURN_ONLY, ComponentKind, Run
from plant.models import Component, Conveyor

_LETTERS = {
    ComponentKind.TROUGHING_IDLERS: "C",
    ComponentKind.IMPACT_IDLERS: "I",
    ComponentKind.TRANSITION_IDLERS: "T",
    ComponentKind.RETURN_IDLERS: "R",
    ComponentKind.VEE_RETURN_IDLERS: "V",
    ComponentKind.SELF_ALIGNING_IDLER: "SA",
}


@dataclass(frozen=True)
class Series:
    """All sets that are numbered under one prefix, or a row that is not numbered."""

    prefix: str
    sets: tuple[IdlerSet, ...]
    rows: int

    @property
    def is_numbered(self) -> bool:
        return self.sets[0].number is not None


@dataclass(frozen=True)
class NewGroup:
    """A group as a line would make it; `overlaps` names those that stand there."""

    part: Part
    line: IdlerLine
    overlaps: tuple[Part, ...]
    refusal: str = ""

    @property
    def first(self) -> str:
        return f"{self.part.prefix}{self.part.first_number}"

    @property
    def last(self) -> str:
        return f"{self.part.prefix}{self.part.last_number}"


@dataclass(frozen=True)
class Foreseen:
    """A change carried out on paper: the outcome, rows that change, why it may not be saved."""

    outcome: Outcome
    old_rows: tuple[Part, ...]
    new_rows: tuple[Part, ...]
    moved: tuple[tuple[IdlerSet, IdlerSet], ...]
    refusal: str = ""


def rows_of(components: Iterable[Component]) -> list[GroupRow]:
    return [GroupRow(one.pk, one.as_part(), one.fitted_on, one.note) for one in components]


def stamp_of(conveyor: Conveyor) -> str:
    """Tells whether any component has changed since a page was shown."""
    rows = conveyor.components.order_by("pk").values_list("pk", "version")
    return hashlib.sha256(repr(list(rows)).encode()).hexdigest()[:16]


def series_of(conveyor: Conveyor) -> list[Series]:
    """In the order in which the belt meets their first sets; one query."""
    by_name: dict[tuple[bool, str], list[IdlerSet]] = {}
    for one in sets_of(rows_of(conveyor.components.all())):
        by_name.setdefault((one.number is None, one.prefix.casefold()), []).append(one)
    return [
        Series(sets[0].prefix, tuple(sets), len({one.key for one in sets}))
        for sets in by_name.values()
    ]


def new_group(conveyor: Conveyor, line: IdlerLine) -> NewGroup:
    """What a line makes of this conveyor; its name and run are chosen where it names none."""
    standing = [one.as_part() for one in conveyor.components.all()]
    part = _part_of(standing, line)
    beside = [one for one in standing if one.is_idler and one.run is part.run]
    overlaps = tuple(
        one for one in beside if one.first_m <= part.last_m and part.first_m <= one.last_m
    )
    return NewGroup(part, line, overlaps, _refusal([*standing, part]))


def foresee(conveyor: Conveyor, change: Change) -> Foreseen:
    """Carry a change out on paper; raises CannotChange."""
    rows = rows_of(conveyor.components.all())
    outcome = carry_out(rows, change)
    old = {row.key: row for row in rows if row.part.is_idler}
    new = outcome.regrouping.rows
    changed = [row for row in new if old.get(row.key) != row]
    touched = {row.key for row in changed} | (old.keys() - {row.key for row in new})
    others = [row.part for row in rows if not row.part.is_idler]
    return Foreseen(
        outcome,
        old_rows=tuple(row.part for row in old.values() if row.key in touched),
        new_rows=tuple(row.part for row in changed),
        moved=_moved(outcome),
        refusal=_refusal([*others, *(row.part for row in new)]),
    )


def _moved(outcome: Outcome) -> tuple[tuple[IdlerSet, IdlerSet], ...]:
    """Sets that stand or are called otherwise afterwards."""
    after = {(one.key, one.place): one for one in outcome.after}
    pairs = ((one, after.get((one.key, one.place))) for one in outcome.before)
    return tuple(
        (one, other)
        for one, other in pairs
        if other and (one.at_mm, one.name) != (other.at_mm, other.name)
    )


def _part_of(standing: Sequence[Part], line: IdlerLine) -> Part:
    prefix = line.prefix or _free_prefix(standing, line.kind)
    taken = {one.name.casefold() for one in standing}
    name = prefix
    if prefix.casefold() in taken:
        name = free_name(made_name(prefix, line.first_number, line.count), taken)
    return Part(
        name=name,
        kind=line.kind,
        run=line.run or _usual_run(standing, line),
        first_m=line.first_mm / 1000,
        spacing_m=line.spacing_mm / 1000,
        count=line.count,
        is_numbered=True,
        set_prefix="" if name == prefix else prefix,
        first_number=line.first_number,
    )


def _usual_run(standing: Sequence[Part], line: IdlerLine) -> Run:
    if line.kind in RETURN_ONLY:
        return Run.RETURN
    head = next((one for one in standing if one.kind is ComponentKind.HEAD_PULLEY), None)
    may_return = line.kind is ComponentKind.SELF_ALIGNING_IDLER
    is_past = head is not None and line.first_mm > head.first_m * 1000
    return Run.RETURN if may_return and is_past else Run.CARRYING


def _free_prefix(standing: Sequence[Part], kind: ComponentKind) -> str:
    taken = {name.casefold() for one in standing for name in (one.name, one.prefix)}
    letter, turn = _LETTERS[kind], 0
    prefix = letter
    while prefix.casefold() in taken:
        prefix = f"{letter}{_letters(turn)}"
        turn += 1
    return prefix


def _letters(turn: int) -> str:
    """A to Z, then AA, AB and so on."""
    said = chr(ord("A") + turn % 26)
    return said if turn < 26 else _letters(turn // 26 - 1) + said


def _refusal(parts: Iterable[Part]) -> str:
    try:
        the_ends(check_parts(parts))
    except IncompleteLoopError:
        return ""
    except GeometryError as error:
        return str(error)
    return ""
