"""What a column of a register file holds, and what a sheet is made of."""

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, auto
from functools import cached_property
from typing import Any

from plant.register_files.cells import plain

# Where a row belongs, not what it holds.
REFERENCES = frozenset(
    {"plant", "conveyor", "belt", "belt_fitted_on", "belt_removed_on", "component"}
)


class Kind(Enum):
    TEXT = auto()
    # Words between commas; words one to a line, which may hold commas.
    WORDS = auto()
    LINES = auto()
    CHOICE = auto()
    YES_NO = auto()
    FIGURE = auto()
    # Kept as a decimal number of so many places.
    DECIMAL = auto()
    COUNT = auto()
    DAY = auto()
    MOMENT = auto()
    # A figure whose unit another cell of its row tells.
    MEASURED = auto()


@dataclass(frozen=True)
class Column:
    """`field` is its name in the register; `unit` that in which the register keeps it."""

    field: str
    header: str
    kind: Kind = Kind.TEXT
    unit: str = ""
    also: tuple[str, ...] = ()
    choices: Mapping[str, str] = dataclasses.field(default_factory=dict)
    is_needed: bool = False
    # Needed to know what a row is about; a sheet without it is another sheet.
    is_key: bool = False
    # Of decimals: positions are kept to the millimetre.
    places: int = 3
    example: Any = None
    says: str = ""

    @property
    def written_header(self) -> str:
        return f"{self.header} [{self.unit}]" if self.unit else self.header

    @cached_property
    def names(self) -> frozenset[str]:
        """Everything the column may be called, in plain words."""
        return frozenset(plain(one) for one in (self.header, self.field, *self.also))

    @cached_property
    def known_choices(self) -> dict[str, str]:
        """From plain words to the value, the value's own spelling included."""
        words = {plain(word): value for value, word in self.choices.items()}
        return words | {plain(value): value for value in self.choices}


@dataclass(frozen=True)
class Sheet:
    """One kind of rows; `defaults` are what a new row holds where its cells are empty."""

    code: str
    title: str
    columns: tuple[Column, ...]
    defaults: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @cached_property
    def by_field(self) -> dict[str, Column]:
        return {one.field: one for one in self.columns}

    @cached_property
    def by_name(self) -> dict[str, Column]:
        return {name: one for one in self.columns for name in one.names}

    @cached_property
    def keys(self) -> tuple[Column, ...]:
        return tuple(one for one in self.columns if one.is_key)

    @cached_property
    def empty_row(self) -> dict[str, Any]:
        """What a row holds whose cells are all empty, as the register keeps it."""
        held = [one for one in self.columns if one.field not in REFERENCES | {"unit"}]
        return {one.field: self.defaults.get(one.field, _empty(one.kind)) for one in held}


def _empty(kind: Kind) -> Any:
    if kind in {Kind.WORDS, Kind.LINES}:
        return []
    return "" if kind in {Kind.TEXT, Kind.CHOICE} else None
