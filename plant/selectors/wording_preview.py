"""Real records of the plant before and after they are put into a system's words."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from plant.models import ConnectedSystem
from plant.selectors.wordings import drafted_wording
from plant.wording.refusals import WordRefused
from plant.wording.wording import Wording
from plant.wording_shelf import Kind
from plant.wording_words import refusal_words

_MOST = 5
_NOTHING = "—"


@dataclass(frozen=True)
class Line:
    """A field by its way through the record; one of the names is empty for what is added."""

    ours: str
    theirs: str
    before: str
    after: str


@dataclass(frozen=True)
class Preview:
    """`lines` are those that differ; `whole` is the record as it leaves."""

    title: str
    lines: list[Line]
    whole: str
    refusal: str = ""


def previews(system: ConnectedSystem, kind: Kind) -> list[Preview]:
    """Of the newest records, whether or not the wording is in use."""
    if kind.newest is None:
        return []
    wording = drafted_wording(system)
    return [_preview(wording, kind, record) for record in kind.newest(system.plant, _MOST)]


def _preview(wording: Wording, kind: Kind, record: dict[str, Any]) -> Preview:
    title = str(record.get("number") or record.get("tag") or record.get("id"))
    try:
        told = wording.to_theirs(kind.name, record)
    except WordRefused as refused:
        return Preview(title, [], "", refusal_words(refused))
    fields = wording.fields.get(kind.name)
    renamed = fields.renamed if fields else {}
    whole = json.dumps(told, ensure_ascii=False, indent=1, default=str)
    return Preview(title, _lines(_flat(record), _flat(told), renamed), whole)


def _lines(before: dict[str, Any], after: dict[str, Any], renamed: Mapping[str, str]) -> list[Line]:
    found, met = [], set()
    for name, value in before.items():
        first, dot, rest = name.partition(".")
        theirs = renamed.get(first, first) + dot + rest
        met.add(theirs)
        if theirs != name or after.get(theirs) != value:
            found.append(Line(name, theirs, _text(value), _text(after.get(theirs))))
    added = [name for name in after if name not in met]
    return found + [Line("", name, "", _text(after[name])) for name in added]


def _flat(record: dict[str, Any]) -> dict[str, Any]:
    """Fields of fields by `conveyor.tag`; lists as one."""
    flat: dict[str, Any] = {}
    for name, value in record.items():
        if isinstance(value, dict):
            flat |= {f"{name}.{inner}": one for inner, one in _flat(value).items()}
        else:
            flat[name] = value
    return flat


def _text(value: Any) -> str:
    if value is None or value == "":
        return _NOTHING
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)
