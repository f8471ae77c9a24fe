"""The words of an invented system, for the pure tests."""

from collections.abc import Mapping
from typing import Any

from plant.wording.shape import Shape
from plant.wording.wording import Fields, Wording, Words

STATES = ("proposed", "approved", "scheduled", "in_hand", "done", "proved")
ORDER = Shape(
    words={"state": "order_state", "from_state": "order_state", "urgency": "urgency"},
    within={"case": Shape(words={"state": "case_state"})},
    marks=frozenset({"number", "version"}),
)
THEIR_STATES = {
    "proposed": "10-NEW",
    "approved": "20-OK",
    "scheduled": "20-OK",
    "in_hand": "30-ON",
    "done": "40-FIN",
    "proved": "50-SHUT",
}
TAGS = {("Q30", ""): "LWT/Q30", ("Q30", "R88"): "LWT/Q30/R88", ("Y12", ""): "LWT/Y12"}


def spoken(
    states: Mapping[str, str] = THEIR_STATES,
    *,
    preferred: frozenset[str] = frozenset({"approved"}),
    tags: Mapping[tuple[str, str], str] = TAGS,
    fields: Fields | None = None,
    **options: Any,
) -> Wording:
    words = Words(states, preferred, known=frozenset(STATES))
    return Wording(
        shapes={"work_order": ORDER},
        words={"order_state": words},
        tags=tags,
        fields={"work_order": fields} if fields else {},
        **options,
    )


def order(**fields: Any) -> dict[str, Any]:
    return {
        "number": "LT-W-0042",
        "conveyor": {"tag": "Q30", "name": "Quay conveyor"},
        "case": {"number": "LT-C-0057", "state": "open"},
        "state": "scheduled",
        "urgency": "watch",
        "component": "R88",
        "version": 3,
        **fields,
    }
