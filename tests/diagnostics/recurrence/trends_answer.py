"""The answer of `manage.py trends --json` as the contract words it."""

from typing import Any

import jsonschema

from tests.diagnostics.command_runs import strict

NUMBER = {"type": "number"}
NUMBER_OR_NULL = {"type": ["number", "null"]}
NOTES = {"type": "array", "items": {"type": "string", "pattern": r"^[A-Z0-9].*[.]$"}}


def of_fields(fields: dict, *, optional: tuple[str, ...] = ()) -> dict:
    """An object of exactly these fields."""
    return {
        "type": "object",
        "additionalProperties": False,
        "required": [name for name in fields if name not in optional],
        "properties": fields,
    }


POWER_LAW = (
    *("shape", "scale", "shape_corrected", "scale_corrected", "shape_lower", "shape_upper"),
    *("mtbf_at_end", "mtbf_lower", "mtbf_upper", "cramer_von_mises", "cramer_von_mises_critical"),
)
STEP = {
    "time": NUMBER,
    "mcf": NUMBER,
    **dict.fromkeys(("se", "lower", "upper"), NUMBER_OR_NULL),
    "notes": NOTES,
}
UNIT = {
    "unit": {"type": "string"},
    "events": {"type": "integer"},
    "exposure": NUMBER,
    **dict.fromkeys(("rate", "shrunk", "lower", "upper", "probability_worse"), NUMBER_OR_NULL),
    "notes": NOTES,
}
HANDBOOK = dict.fromkeys(("chi2", "p_lower", "p_two_sided"), NUMBER_OR_NULL)
ANSWER = of_fields(
    {
        "units": {"type": "integer"},
        "events": {"type": "integer"},
        "exposure": NUMBER,
        "mcf": {"type": "array", "items": of_fields(STEP, optional=("notes",))},
        "laplace": of_fields({"u": NUMBER_OR_NULL, "p": NUMBER_OR_NULL, "notes": NOTES}),
        "military_handbook": of_fields({**HANDBOOK, "df": {"type": "integer"}, "notes": NOTES}),
        "power_law": of_fields({**dict.fromkeys(POWER_LAW, NUMBER_OR_NULL), "notes": NOTES}),
        "rates": {"type": "array", "items": of_fields(UNIT, optional=("notes",))},
        "prior": {"oneOf": [of_fields({"a": NUMBER, "b": NUMBER}), {"type": "null"}]},
        "notes": NOTES,
    }
)


VALIDATOR = jsonschema.Draft202012Validator(ANSWER)


def nulls_without_reason(found: object) -> list[object]:
    """Objects with a null and no notes beside it."""
    if isinstance(found, list):
        return [one for entry in found for one in nulls_without_reason(entry)]
    if not isinstance(found, dict):
        return []
    own = [found] if None in found.values() and not found.get("notes") else []
    return own + [one for entry in found.values() for one in nulls_without_reason(entry)]


def checked(text: str) -> Any:
    """The document, when it keeps the contract: strict, complete, each null with a reason."""
    answer = strict(text)
    VALIDATOR.validate(answer)
    assert nulls_without_reason(answer) == []
    return answer
