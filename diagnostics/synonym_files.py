"""Reads fixtures/synonyms.yaml: ways of saying the same, for the search.

Whatever is wrong with the file is a KnowledgeError that names the group.
"""

from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from jsonschema import Draft202012Validator

from diagnostics import knowledge_files
from diagnostics.inference.search_words import Synonyms, phrase_stems
from diagnostics.knowledge_schema import KnowledgeError

_FILE = "synonyms.yaml"
_SHAPE = Draft202012Validator(
    {
        "type": "object",
        "properties": {
            "version": {"type": "integer", "minimum": 1},
            "date": {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
            "groups": {
                "type": "array",
                "minItems": 1,
                "maxItems": 1000,
                "items": {
                    "type": "array",
                    "minItems": 2,
                    "maxItems": 40,
                    "uniqueItems": True,
                    "items": {"type": "string", "pattern": r"^[^\W_]+( [^\W_]+){0,5}$"},
                },
            },
        },
        "required": ["version", "date", "groups"],
        "additionalProperties": False,
    }
)


@cache
def current() -> Synonyms:
    """Synonyms as the file of this installation states them."""
    return load(Path(settings.BASE_DIR) / "fixtures")


def load(folder: Path) -> Synonyms:
    """Read and check the file of a folder.

    Raises
    ------
    KnowledgeError
        The file is missing, no YAML, of another shape, or has a phrase in two groups.
    """
    document = knowledge_files.document_in(folder, _FILE)
    for error in _SHAPE.iter_errors(document):
        raise KnowledgeError(_FILE, _place(error.absolute_path), "", error.message[:300])
    _check_apart(document["groups"])
    return Synonyms(tuple(tuple(group) for group in document["groups"]))


def _place(path: Any) -> str:
    steps = list(path)
    is_group = len(steps) > 1 and steps[0] == "groups"
    return f"group {steps[1] + 1}" if is_group else ".".join(str(step) for step in steps)


def _check_apart(groups: list[list[str]]) -> None:
    """A phrase in two groups would make all of both mean the same."""
    seen: dict[tuple[str, ...], int] = {}
    for number, group in enumerate(groups, start=1):
        for way in group:
            before = seen.setdefault(phrase_stems(way), number)
            if before != number:
                text = f"{way!r} stands in group {before} too"
                raise KnowledgeError(_FILE, f"group {number}", "", text)
