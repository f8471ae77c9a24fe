"""An entry of the knowledge as text a person edits, and back: YAML in the order of its fields."""

from typing import Any

import yaml

from diagnostics import knowledge_files
from diagnostics.knowledge_comparison import Entry, Kind
from diagnostics.knowledge_schema import SHAPES, KnowledgeError

# The longest entry of the installed files is a tenth of it.
LONGEST_ENTRY = 40_000


def text_of(kind: Kind, entry: Entry) -> str:
    """Names first as the schema lists them; what a database keeps has no order."""
    order = fields_of(kind)
    ordered = {name: entry[name] for name in order if name in entry}
    ordered |= {name: value for name, value in entry.items() if name not in ordered}
    return yaml.safe_dump(ordered, sort_keys=False, allow_unicode=True, width=88)


def entry_in(kind: Kind, text: str) -> dict[str, Any]:
    """What somebody typed; its shape is checked where it is kept.

    Raises
    ------
    KnowledgeError
        It is no YAML of the safe kind, or no single entry.
    """
    found = knowledge_files.read_text(kind.file, text)
    if not isinstance(found, dict):
        raise KnowledgeError(kind.file, "", "", "must be one entry: lines of `name: value`")
    return found


def fields_of(kind: Kind) -> tuple[str, ...]:
    """Names of an entry's fields in the order of the schema."""
    key, validator = SHAPES[kind.file]
    schema: Any = validator.schema
    return tuple(schema["properties"][key]["items"]["properties"])
