"""The shape of a bundle as JSON Schema (draft 2020-12), made of the shapes of its entries."""

from dataclasses import dataclass
from typing import Any

from diagnostics.knowledge_comparison import Kind
from diagnostics.knowledge_schema import entry_schema

FORMAT = "loopwright-knowledge"
FORMAT_VERSION = 1
# Forty times the installed knowledge, and twice the parts of its longest list; judgement.
MOST_ENTRIES = 2_000
MOST_PARTS = 200
HEADING = ("format", "format_version", "written_on", "plant", "edition")
_ONE_LINE = r"^[^\x00-\x1f\x7f-\x9f\ud800-\udfff]*$(?!\n)"
_NEEDED = ("format", "format_version")


@dataclass(frozen=True)
class Heading:
    """What stands above the entries; only of use to the person who reads it."""

    written_on: str
    plant: str = ""
    edition: str = ""

    def as_fields(self) -> dict[str, str]:
        said = {"written_on": self.written_on, "plant": self.plant, "edition": self.edition}
        return {name: text for name, text in said.items() if text}


def _schema() -> dict[str, Any]:
    kinds = {
        kind.key: {
            "type": "array",
            "items": entry_schema(kind.file),
            "minItems": 1,
            "maxItems": MOST_ENTRIES,
        }
        for kind in Kind
    }
    # No control characters: no database keeps them all.
    said = {"type": "string", "minLength": 1, "maxLength": 200, "pattern": _ONE_LINE}
    heading = {
        "format": {"const": FORMAT},
        "format_version": {"const": FORMAT_VERSION},
        "written_on": {"type": "string", "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$(?!\n)"},
        "plant": said,
        "edition": said,
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Bundle of knowledge of mistracking conveyor belts",
        "type": "object",
        "properties": heading | kinds,
        "required": list(_NEEDED),
        "anyOf": [{"required": [kind.key]} for kind in Kind],
        "additionalProperties": False,
    }


SCHEMA = _schema()
