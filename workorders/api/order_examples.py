"""Examples of what is written about orders, from the invented demo plant."""

from drf_spectacular.utils import OpenApiExample

RAISE = OpenApiExample(
    "Work by hand",
    value={
        "conveyor": "Q30",
        "title": "Renew the skirt rubber",
        "component": "LOAD",
        "steps": ["Take the old rubber off", "Fit the new one"],
        "urgency": "next_outage",
        "due_on": "2026-12-04",
        "external_number": "70-1188",
    },
    request_only=True,
)
MOVE = OpenApiExample("Work begins", value={"to_state": "in_hand"}, request_only=True)
SCHEDULE = OpenApiExample(
    "Scheduled",
    value={"to_state": "scheduled", "planned_for": "2026-12-02T06:00:00-04:00"},
    request_only=True,
)
NUMBERED = OpenApiExample(
    "Its number there", value={"external_number": "70-1188"}, request_only=True
)
WAITS = OpenApiExample(
    "It waits",
    value={"waiting_for": "parts", "waiting_why": "wing rolls, due on Tuesday"},
    request_only=True,
)
BULK_ITEM = OpenApiExample(
    "Numbered, and work begins",
    value={
        "number": "LT-W-0111",
        "version": 3,
        "external_number": "70-1188",
        "move": {"to_state": "in_hand"},
    },
    request_only=True,
)
TIME = {
    "id": 512,
    "plant": "LT",
    "order": "LT-W-0111",
    "worker": "Tam Verity",
    "crew": "Line mechanics",
    "day": "2026-11-18",
    "hours": 2.5,
    "begins_at": "2026-11-18T11:00:00Z",
    "ends_at": "2026-11-18T13:30:00Z",
    "step": 1,
    "step_words": "1. Mark the rolls to change and bring matching ones.",
    "note": None,
    "booked_at": "2026-11-18T19:02:11.310000Z",
    "booked_by": "time clock of the terminal",
    "withdrawn_at": None,
    "version": 1,
}
TIME_KEPT = OpenApiExample("Booked time", value=TIME, response_only=True)
TIME_SENT = OpenApiExample(
    "From when to when",
    value={
        "worker": "technician@larkwater.example",
        "day": "2026-11-18",
        "begins": "07:00",
        "ends": "09:30",
        "crew": "Line mechanics",
        "step": 1,
    },
    request_only=True,
)
HOURS_SENT = OpenApiExample(
    "Hours of somebody without an account",
    value={"worker": "Jo Tarr", "day": "2026-11-18", "hours": 1.5},
    request_only=True,
)
PART = {
    "plant": "LT",
    "order": "LT-W-0111",
    "part": "CR-159-600",
    "name": "Carrying roll 159 × 600, bearings 6306",
    "unit": "pcs",
    "needed": 4.0,
    "used": 2.0,
    "on_hand": 14.0,
    "version": 2,
}
PART_KEPT = OpenApiExample("A part of an order", value=PART, response_only=True)
PART_SENT = OpenApiExample(
    "Two were fitted", value={"part": "CR-159-600", "used": 2}, request_only=True
)
PART_BACK = OpenApiExample(
    "One lies in the store again", value={"part": "CR-159-600", "put_back": 1}, request_only=True
)
NOTE = {
    "id": 204,
    "plant": "LT",
    "order": "LT-W-0111",
    "words": "Two shims used at C1-9.",
    "at": "2026-11-18T13:41:00.120000Z",
    "by": "stores system of the terminal",
    "corrected_at": None,
    "withdrawn_at": None,
    "version": 1,
}
NOTE_KEPT = OpenApiExample("A note", value=NOTE, response_only=True)
NOTE_SENT = OpenApiExample("A note", value={"words": NOTE["words"]}, request_only=True)
MOVED = {
    "id": 3301,
    "plant": "LT",
    "order": "LT-W-0111",
    "from_state": "approved",
    "to_state": "scheduled",
    "planned_for": "2026-11-18T11:00:00Z",
    "at": "2026-11-17T20:05:33.204000Z",
    "by": "Ines Halloway",
    "why": None,
}
MOVE_KEPT = OpenApiExample("A move", value=MOVED, response_only=True)
