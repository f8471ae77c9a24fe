"""The published shape of an answer, as the contract of `diagnose` states it."""

from typing import Any

from diagnostics.inference.vocabulary import CauseClass, Pattern
from plant.loop.vocabulary import Zone


def _object(**properties: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


TEXT = {"type": "string", "minLength": 1}
TEXTS = {"type": "array", "items": TEXT}
SHARE = {"type": "number", "minimum": 0, "maximum": 1}
SIDE = {"enum": ["left", "right", None]}


def _or_null(schema: dict[str, Any]) -> dict[str, Any]:
    return {"anyOf": [schema, {"type": "null"}]}


NUMBER = _or_null({"type": "number"})

CORRECTION = _object(
    what=TEXT,
    where=TEXT,
    move_mm=_or_null({"type": "number", "exclusiveMinimum": 0, "maximum": 500}),
    direction=TEXT,
    wait_revolutions={"type": "integer", "minimum": 3},
    look_for=TEXT,
)

SUSPICION = _object(
    **{
        "cause": TEXT,
        "class": {"enum": [one.value for one in CauseClass]},
        "zone": {"enum": [*(one.value for one in Zone), None]},
        "component": _or_null(TEXT),
        "position_m": NUMBER,
        "position_lower_m": NUMBER,
        "position_upper_m": NUMBER,
        "belt_position_m": NUMBER,
        "side": SIDE,
        "bows_to": SIDE,
        "size": _or_null({"type": "number", "minimum": 0}),
        "size_unit": _or_null(TEXT),
        "probability": SHARE,
        "reasons": TEXTS,
        "against": TEXTS,
        "correction": _or_null(CORRECTION),
    }
)

ANSWER = _object(
    case={"type": ["string", "integer"]},
    pattern={"enum": [one.value for one in Pattern]},
    onset=_or_null(
        _object(
            station=TEXT,
            run={"enum": ["carrying", "return"]},
            position_m={"type": "number", "minimum": 0},
        )
    ),
    ranked={"type": "array", "items": SUSPICION, "minItems": 1},
    classes={
        "type": "array",
        "items": _object(
            **{"class": {"enum": [one.value for one in CauseClass]}, "probability": SHARE}
        ),
        "minItems": 1,
    },
    pairs={
        "type": "array",
        "items": _object(
            causes={"type": "array", "items": TEXT, "minItems": 2, "maxItems": 2},
            probability=SHARE,
        ),
    },
    sufficient={"type": "boolean"},
    next_checks={
        "type": "array",
        "items": _object(
            what=TEXT,
            where=TEXT,
            minutes={"type": "number", "exclusiveMinimum": 0},
            needs_stop={"type": "boolean"},
            information={"type": "number", "minimum": 0},
        ),
    },
    cautions={**TEXTS, "minItems": 1},
    notes=TEXTS,
)

ANSWERS = {"type": "array", "items": ANSWER}
