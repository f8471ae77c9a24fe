"""Examples of the API's description, from the invented demo plant."""

from typing import Any

from drf_spectacular.utils import OpenApiExample

_HANDED_IN: dict[str, Any] = {
    "conveyor": "Q30",
    "words": "the quay belt is rubbing its frame again, down by the tail",
    "how_bad": "rubbing",
    "roughly_where": "tail",
    "people_near": "pass",
    "caller_name": "Odile Brannock",
    "caller_contact": "radio channel 4",
    "shift": "night",
    "external_number": "10-4471",
}
_COMPLAINT: dict[str, Any] = {
    "id": 318,
    "plant": "LT",
    "conveyor": {"tag": "Q30", "name": "Quay conveyor"},
    "case": {"number": "LT-C-0089", "state": "being_looked_at"},
    **{name: value for name, value in _HANDED_IN.items() if name != "conveyor"},
    "received_at": "2026-11-17T03:12:40.118000Z",
    "withdrawn_at": None,
    "withdrawn_why": None,
    "changed_at": "2026-11-17T03:12:40.120000Z",
    "version": 1,
}

COMPLAINT = OpenApiExample("A complaint", value=_COMPLAINT, response_only=True)
HANDED_IN = OpenApiExample("A complaint handed in", value=_HANDED_IN, request_only=True)
TAKEN = OpenApiExample(
    "A complaint that joined a case",
    value={**_COMPLAINT, "opened_case": False},
    response_only=True,
)
