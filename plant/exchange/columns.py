"""The columns of a change as a table's row: first what is told of the change, then the record.

Parts of a record get the names on the way to them (`conveyor_tag`), lists are written as JSON.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

CHANGE = ("number", "at", "plant", "kind", "of", "key", "by", "who")
_OF_CHANGE = "change_"


@dataclass(frozen=True)
class Columns:
    """`ways` lead to the fields of a record (`conveyor.tag`), in the order of the columns.

    `renamed` are names in the header, `renamed_of` those in the records of each kind; `further`
    are fields that one system gets besides, at the end.
    """

    ways: Sequence[str]
    renamed: Mapping[str, str] = field(default_factory=dict)
    renamed_of: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    further: Sequence[str] = ()

    def header(self) -> list[str]:
        own = [f"{_OF_CHANGE}{name}" for name in CHANGE]
        return [*own, *("_".join(_steps(way, self.renamed)) for way in self.ways), *self.further]

    def row(self, change: Mapping[str, Any], of: str, told: Mapping[str, Any]) -> list[Any]:
        """`told` is the record of the change, `of` its kind; what it lacks is left empty."""
        names = self.renamed_of.get(of, {})
        ways = [_steps(way, names) for way in self.ways]
        own = [change[name] for name in CHANGE]
        record = [_cell(_at(told, way)) for way in ways]
        return [*own, *record, *(_cell(told.get(name)) for name in self.further)]


def _steps(way: str, renamed: Mapping[str, str]) -> list[str]:
    first, *rest = way.split(".")
    return [renamed.get(first, first), *rest]


def _at(told: Any, way: Sequence[str]) -> Any:
    for step in way:
        if not isinstance(told, Mapping):
            return None
        told = told.get(step)
    return told


def _cell(value: Any) -> Any:
    if isinstance(value, list | dict):
        return json.dumps(value, ensure_ascii=False, sort_keys=True)
    if isinstance(value, bool):
        return "true" if value else "false"
    return value
