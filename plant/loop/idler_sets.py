"""Rows of idler groups taken apart into single sets, and sets put together into rows again.

A row is a group of equally spaced sets. What happens to one set (it is taken out, pushed on, gets
another number) is worked on single sets; the fewest rows that say the same are found afterwards.
Places are whole millimetres here, as the register keeps them.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind, Run

# As long as the register keeps names.
_NAME_LENGTH = 40


class CannotChange(ValueError):
    """A change of idler sets that cannot be; `field` names the figure, `values` go in its words."""

    def __init__(self, code: str, field: str | None = None, **values: object) -> None:
        super().__init__(f"{code}: {values}" if values else code)
        self.code, self.field, self.values_said = code, field, values


@dataclass(frozen=True)
class GroupRow:
    """A row of the register; `key` is None for one that is not in it yet."""

    key: int | None
    part: Part
    fitted_on: date | None = None
    note: str = ""


@dataclass(frozen=True)
class Like:
    """What all sets of a row have in common, whatever their place and number."""

    part: Part
    fitted_on: date | None
    note: str

    @staticmethod
    def of(row: GroupRow) -> "Like":
        bare = replace(
            row.part,
            name="",
            first_m=0.0,
            spacing_m=None,
            count=1,
            is_numbered=False,
            set_prefix="",
            first_number=1,
        )
        return Like(bare, row.fitted_on, row.note)


@dataclass(frozen=True)
class IdlerSet:
    """One set. `prefix` is its whole name where `number` is None.

    `key` and `place` say which set of which row it was (place from 1 on, in the direction of
    travel); None and 0 for a new one. `spacing_mm` is what its row is spaced at.
    """

    at_mm: int
    prefix: str
    number: int | None
    spacing_mm: int | None
    like: Like
    key: int | None = None
    place: int = 0

    @property
    def name(self) -> str:
        return self.prefix if self.number is None else f"{self.prefix}{self.number}"

    @property
    def at_m(self) -> float:
        return self.at_mm / 1000

    @property
    def run(self) -> Run:
        return self.like.part.run

    @property
    def kind(self) -> ComponentKind:
        return self.like.part.kind

    def is_of(self, series: str) -> bool:
        """Whether it is a numbered set of this prefix."""
        return self.number is not None and self.prefix.casefold() == series.casefold()


def to_mm(metres: float) -> int:
    return round(metres * 1000)


def sets_of(rows: Iterable[GroupRow]) -> list[IdlerSet]:
    """Every idler set of these rows, in the order in which the belt meets them."""
    found = [one for row in rows if row.part.is_idler for one in _sets_of_row(row)]
    return sorted(found, key=lambda one: one.at_mm)


def _sets_of_row(row: GroupRow) -> Iterator[IdlerSet]:
    part, like = row.part, Like.of(row)
    first_mm, spacing_mm = to_mm(part.first_m), to_mm(part.spacing_m or 0.0)
    for index in range(part.count):
        yield IdlerSet(
            at_mm=first_mm + index * spacing_mm,
            prefix=part.prefix,
            number=part.first_number + index if part.is_numbered else None,
            spacing_mm=spacing_mm or None,
            like=like,
            key=row.key,
            place=index + 1,
        )


@dataclass(frozen=True)
class Regrouping:
    """Rows as they will stand, and where each set of a row that stood will be found.

    `moved` leads from (key, place) of a set to the index of its row in `rows` and its place there;
    sets taken out are not in it.
    """

    rows: tuple[GroupRow, ...]
    moved: Mapping[tuple[int, int], tuple[int, int]]


def regroup(sets: Sequence[IdlerSet], standing: Iterable[GroupRow]) -> Regrouping:
    """The fewest rows that hold these sets; rows that stand keep their key where they can.

    Raises
    ------
    CannotChange
        Sets stand in one place, or a group without numbers would be torn apart.
    """
    known = {row.key: row for row in standing}
    groups = list(_runs(sorted(sets, key=lambda one: one.at_mm)))
    keys = _keys(groups)
    kept = [
        _kept_name(together, known[key]) if key is not None else None
        for together, key in zip(groups, keys, strict=True)
    ]
    taken = {one.part.name.casefold() for one in known.values() if not one.part.is_idler}
    taken |= {name.casefold() for name in kept if name}
    rows: list[GroupRow] = []
    moved: dict[tuple[int, int], tuple[int, int]] = {}
    for together, key, name in zip(groups, keys, kept, strict=True):
        for place, one in enumerate(together, 1):
            if one.key is not None:
                moved[one.key, one.place] = (len(rows), place)
        rows.append(_row(together, known.get(key), name or _new_name(together, taken)))
    return Regrouping(tuple(rows), moved)


def _keys(groups: list[list[IdlerSet]]) -> list[int | None]:
    """Which row each group stays: that of its first set whose row is no other group's yet."""
    used: set[int | None] = {None}
    keys: list[int | None] = []
    for together in groups:
        key = next((one.key for one in together if one.key not in used), None)
        used.add(key)
        keys.append(key)
    return keys


def _runs(ordered: list[IdlerSet]) -> Iterator[list[IdlerSet]]:
    together: list[IdlerSet] = []
    torn: set[int | None] = set()
    for one in ordered:
        if together and one.at_mm <= together[-1].at_mm:
            raise CannotChange("same_place", None, one=together[-1].name, other=one.name)
        if together and not _goes_on(together[-1], one):
            yield together
            together = []
        if not together and one.number is None and one.key is not None:
            if one.key in torn:
                raise CannotChange("not_numbered", None, name=one.prefix)
            torn.add(one.key)
        together.append(one)
    if together:
        yield together


def _goes_on(before: IdlerSet, one: IdlerSet) -> bool:
    """Whether a set is the next one of the group of the set before it."""
    if one.spacing_mm != before.spacing_mm or one.at_mm - before.at_mm != one.spacing_mm:
        return False
    if one.like != before.like or one.prefix != before.prefix:
        return False
    if one.number is None or before.number is None:
        return one.number is before.number and one.key is not None and one.key == before.key
    return one.number == before.number + 1


def _row(together: list[IdlerSet], standing: GroupRow | None, name: str) -> GroupRow:
    first, count = together[0], len(together)
    is_numbered = first.number is not None
    part = replace(
        first.like.part,
        name=name,
        first_m=first.at_m,
        spacing_m=None if first.spacing_mm is None else first.spacing_mm / 1000,
        count=count,
        is_numbered=is_numbered,
        set_prefix=first.prefix if is_numbered and first.prefix != name else "",
        first_number=first.number or 1,
    )
    if standing is not None and not is_numbered:
        # What a row without numbers says of numbers means nothing, and is left alone.
        old = standing.part
        part = replace(part, set_prefix=old.set_prefix, first_number=old.first_number)
    key = standing.key if standing else None
    return GroupRow(key, part, first.like.fitted_on, first.like.note)


def _kept_name(together: list[IdlerSet], standing: GroupRow) -> str | None:
    """A row keeps its name, unless that was made from numbers which are others now."""
    old, first = standing.part, together[0]
    was_made = old.set_prefix and old.name == made_name(old.prefix, old.first_number, old.count)
    if first.number is None or not was_made:
        return old.name
    is_so_still = (first.number, len(together)) == (old.first_number, old.count)
    return old.name if is_so_still else None


def _new_name(together: list[IdlerSet], taken: set[str]) -> str:
    first = together[0]
    if first.number is not None:
        return free_name(made_name(first.prefix, first.number, len(together)), taken)
    if first.prefix.casefold() in taken:
        raise CannotChange("name_taken", "name", name=first.prefix)
    taken.add(first.prefix.casefold())
    return first.prefix


def made_name(prefix: str, number: int, count: int) -> str:
    """What a row is called that goes on with the numbers of another: C21…"""
    more = "…" if count > 1 else ""
    return f"{prefix[: _NAME_LENGTH - 8]}{number}{more}"


def free_name(wanted: str, taken: set[str]) -> str:
    """The name, or with a stroke behind while another row has it; taken from then on."""
    name, turn = wanted, 1
    while name.casefold() in taken:
        turn += 1
        name = f"{wanted[: _NAME_LENGTH - 5]}/{turn}"
    taken.add(name.casefold())
    return name
