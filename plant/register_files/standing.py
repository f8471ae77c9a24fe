"""What stands in the register, as plain values, so that the rows of a file can be held against it.

Names and tags are looked up in capitals: two that differ in case only are one.
"""

from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import Any


@dataclass(slots=True)
class StandingRow:
    """`values` by the fields of the row's sheet, without what only says where the row belongs."""

    pk: int | None
    values: dict[str, Any]


@dataclass
class StandingConveyor:
    """One conveyor with everything under it; splices, marks and readings of belts by the belt."""

    row: StandingRow
    components: dict[str, StandingRow] = field(default_factory=dict)
    belts: list[StandingRow] = field(default_factory=list)
    splices: dict[Hashable, list[StandingRow]] = field(default_factory=dict)
    marks: dict[Hashable, list[StandingRow]] = field(default_factory=dict)
    readings: dict[Hashable, list[StandingRow]] = field(default_factory=dict)
    rolls: dict[Hashable, list[StandingRow]] = field(default_factory=dict)


@dataclass
class Register:
    """`conveyors` of the file by tag in capitals; `tags` are all of the plant, as written."""

    plant_names: tuple[str, ...]
    conveyors: dict[str, StandingConveyor]
    tags: tuple[str, ...]
