"""The shape of the knowledge files, as JSON Schema, and what is said when a file has another.

Words of closed vocabularies come from the pure packages, so a new word there is accepted here.
"""

import math
import re
from collections.abc import Iterator
from enum import StrEnum
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from diagnostics.inference.feature_words import WORDS, ConveyorWord
from diagnostics.inference.vocabulary import CauseClass, Pattern
from plant.loop.vocabulary import ComponentKind

# What a correction may move; correction texts are built from these words.
SHIFTS = ("troughing idler", "return idler", "pulley bearing", "take-up carriage")
SKILLS = ("mechanic", "rigger", "welder", "electrician", "surveyor", "belt jointer", "operator")
# A single piece of evidence never weighs more than this; engineering judgement.
LARGEST_RATIO = 100.0
MOST_VERSIONS = 1_000_000


# Control characters but tab and line ends, and halves of characters.
_ODD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff]")


class KnowledgeError(ValueError):
    """A knowledge file that cannot be used; names file, entry and field."""

    def __init__(self, file: str, entry: str, field: str, text: str) -> None:
        self.file, self.entry, self.field, self.text = file, entry, field, text
        where = ", ".join(part for part in (file, entry, field) if part)
        super().__init__(f"{where}: {text}")


def _one_of(words: type[StrEnum] | tuple[str, ...]) -> dict[str, Any]:
    return {"enum": [str(word) for word in words]}


def _list_of(item: dict[str, Any], *, least: int = 0) -> dict[str, Any]:
    return {"type": "array", "items": item, "minItems": least, "uniqueItems": True}


def _exactly(properties: dict[str, Any], *, optional: tuple[str, ...] = ()) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
    }


_TEXT = {"type": "string", "minLength": 3, "maxLength": 1200, "pattern": r"\S"}
_WORD = {"type": "string", "minLength": 2, "maxLength": 120}
# To Python a "$" also stands before a last line end.
_END = r"$(?!\n)"
_CAUSE_SLUG = {"type": "string", "pattern": f"^[a-z][a-z0-9_]{{2,59}}{_END}"}
_SLUG = {"type": "string", "pattern": f"^[a-z][a-z0-9-]{{2,59}}{_END}"}
_RATIO = {"type": "number", "exclusiveMinimum": 0, "maximum": LARGEST_RATIO}
_MINUTES = {"type": "number", "exclusiveMinimum": 0, "maximum": 480}
_HOURS = {"type": "number", "exclusiveMinimum": 0, "maximum": 200}

_CAUSE = _exactly(
    {
        "slug": _CAUSE_SLUG,
        "name": _WORD,
        "class": _one_of(CauseClass),
        "pattern": _one_of(Pattern),
        "stands_at": _list_of(_one_of(ComponentKind)),
        "needs": _list_of(_one_of(ConveyorWord)),
        "weight": {"type": "number", "exclusiveMinimum": 0, "maximum": 100},
        "shows": _TEXT,
        "look_alikes": _list_of(_exactly({"cause": _CAUSE_SLUG, "tell_apart": _TEXT}), least=1),
        "confirm": _exactly(
            {
                "what": _TEXT,
                "minutes": _MINUTES,
                "needs_stop": {"type": "boolean"},
                "tools": _list_of(_WORD),
            },
            optional=("tools",),
        ),
        "correct": _TEXT,
        "shift": {"enum": [*SHIFTS, None]},
        "size_unit": {"type": ["string", "null"], "maxLength": 20},
        "tolerance": _TEXT,
        "cautions": _list_of(_SLUG, least=1),
        "work_method": _SLUG,
        "source": _TEXT,
    }
)
_RULE = _exactly(
    {
        "slug": _SLUG,
        "says": _TEXT,
        "when": {
            "type": "object",
            "properties": {
                str(feature): _list_of(_one_of(tuple(sorted(words))), least=1)
                for feature, words in WORDS.items()
            },
            "additionalProperties": False,
            "minProperties": 1,
        },
        "speaks": _list_of(
            {
                "type": "object",
                "properties": {
                    "cause": _CAUSE_SLUG,
                    "class": _one_of(CauseClass),
                    "ratio": _RATIO,
                },
                "required": ["ratio"],
                "additionalProperties": False,
            },
            least=1,
        ),
        "source": _TEXT,
        "version": {"type": "integer", "minimum": 1, "maximum": MOST_VERSIONS},
    }
)
_CAUTION = _exactly({"slug": _SLUG, "says": _TEXT, "source": _WORD})
_METHOD = _exactly(
    {
        "slug": _SLUG,
        "name": _WORD,
        "people": {"type": "integer", "minimum": 1, "maximum": 20},
        "needs_isolation": {"type": "boolean"},
        "steps": {
            "type": "array",
            "minItems": 1,
            "items": _exactly(
                {"what": _TEXT, "hours": _HOURS, "skill": _one_of(SKILLS)}, optional=("skill",)
            ),
        },
        "tools": _list_of(_WORD),
        "parts": _list_of(_WORD),
        "hours": _HOURS,
        "cautions": _list_of(_SLUG, least=1),
        "proof": _TEXT,
        "source": _TEXT,
    }
)


def _file_of(key: str, entry: dict[str, Any]) -> Draft202012Validator:
    return Draft202012Validator(
        {
            "type": "object",
            "properties": {
                "version": {"type": "integer", "minimum": 1, "maximum": MOST_VERSIONS},
                "date": {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
                # Holds texts that several entries share by YAML anchors.
                "common": {"type": "object", "additionalProperties": _TEXT},
                key: {"type": "array", "items": entry, "minItems": 1},
            },
            "required": ["version", "date", key],
            "additionalProperties": False,
        }
    )


# File name -> the key of its entries and its shape.
SHAPES: dict[str, tuple[str, Draft202012Validator]] = {
    "causes.yaml": ("causes", _file_of("causes", _CAUSE)),
    "rules.yaml": ("rules", _file_of("rules", _RULE)),
    "cautions.yaml": ("cautions", _file_of("cautions", _CAUTION)),
    "work_methods.yaml": ("work_methods", _file_of("work_methods", _METHOD)),
}


def entry_schema(file: str) -> dict[str, Any]:
    """The shape of one entry of a document."""
    key, validator = SHAPES[file]
    schema: Any = validator.schema
    entry: dict[str, Any] = schema["properties"][key]["items"]
    return entry


def check_shape(file: str, document: Any) -> None:
    """Refuse a document of another shape, naming the first faulty entry and field.

    Raises
    ------
    KnowledgeError
        Missing, unknown or ill-typed fields, words outside a vocabulary, numbers out of range,
        numbers that are not finite.
    """
    for path in _odd_numbers(document, ()):
        entry, field = _place(document, path)
        raise KnowledgeError(file, entry, field, "must be a finite number")
    for path in _odd_texts(document, ()):
        entry, field = _place(document, path)
        raise KnowledgeError(file, entry, field, "holds a character that cannot be written")
    _key, validator = SHAPES[file]
    errors = sorted(validator.iter_errors(document), key=lambda one: [str(p) for p in one.path])
    if errors:
        entry, field = _place(document, tuple(errors[0].absolute_path))
        raise KnowledgeError(file, entry, field, _in_words(errors[0]))


def _odd_numbers(value: Any, path: tuple[Any, ...]) -> Iterator[tuple[Any, ...]]:
    """Paths of NaN and infinities, which a schema's limits let through or word badly."""
    if isinstance(value, float) and not math.isfinite(value):
        yield path
    elif isinstance(value, dict):
        for key, one in value.items():
            yield from _odd_numbers(one, (*path, key))
    elif isinstance(value, list):
        for index, one in enumerate(value):
            yield from _odd_numbers(one, (*path, index))


def _odd_texts(value: Any, path: tuple[Any, ...]) -> Iterator[tuple[Any, ...]]:
    """Paths of texts that no database keeps and no sheet prints."""
    if isinstance(value, str):
        if _ODD.search(value):
            yield path
    elif isinstance(value, dict):
        for key, one in value.items():
            yield from _odd_texts(one, (*path, key))
    elif isinstance(value, list):
        for index, one in enumerate(value):
            yield from _odd_texts(one, (*path, index))


def _place(document: Any, path: tuple[Any, ...]) -> tuple[str, str]:
    """The entry's slug (or its number in the file) and the field within it."""
    if len(path) < 2 or not isinstance(path[1], int):
        return "", ".".join(str(part) for part in path)
    entry = document[path[0]][path[1]]
    slug = entry.get("slug") if isinstance(entry, dict) else None
    name = slug if isinstance(slug, str) and slug else f"entry {path[1] + 1}"
    return name, ".".join(str(part) for part in path[2:])


def _in_words(error: ValidationError) -> str:
    # The library types these as possibly unset, which they are not on an error it reports.
    limit: Any = error.validator_value
    instance: Any = error.instance
    schema: Any = error.schema
    match error.validator:
        case "required":
            missing = [name for name in limit if name not in instance]
            return f"lacks {', '.join(missing)}"
        case "additionalProperties":
            known = schema.get("properties", {})
            unknown = [str(name) for name in instance if name not in known]
            return f"does not know {', '.join(unknown)}; known are {', '.join(known)}"
        case "enum":
            words = ", ".join("null" if word is None else str(word) for word in limit)
            return f"{instance!r} is not one of: {words}"
        case "exclusiveMinimum":
            return f"must be above {limit:g}, not {instance!r}"
        case "minimum":
            return f"must be at least {limit:g}, not {instance!r}"
        case "maximum":
            return f"must be at most {limit:g}, not {instance!r}"
        case "minItems" | "minProperties":
            return f"needs at least {limit}"
        case "uniqueItems":
            return "names something twice"
        case "type":
            wanted = limit if isinstance(limit, str) else " or ".join(limit)
            return f"must be of type {wanted}, not {instance!r:.80}"
        case _:
            return error.message
