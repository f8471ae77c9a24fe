"""Examples of the API's description, from the invented demo plant."""

from typing import Any

from drf_spectacular.utils import OpenApiExample

_SUMMARY: dict[str, Any] = {
    "number": "LT-W-0111",
    "plant": "LT",
    "conveyor": {"tag": "Q30", "name": "Quay conveyor"},
    "case": "LT-C-0089",
    "title": "Square return idlers, then train with the fewest shifts: R2-13",
    "state": "scheduled",
    "urgency": "this_shift",
    "cause": "return_idler_skewed",
    "zone": "return_run_after_the_take_up",
    "component": "R2-13",
    "loop_position_m": 628.8,
    "due_on": None,
    "earliest_on": None,
    "planned_for": "2026-11-18T11:00:00Z",
    "planned_until": "2026-11-18T16:15:00Z",
    "window": "Quay between ships",
    "crew": "Line mechanics",
    "waiting_for": None,
    "external_number": None,
    "merged_into": None,
    "split_from": None,
    "raised_at": "2026-11-17T19:42:10.512000Z",
    "ended_at": None,
    "changed_at": "2026-11-17T20:05:33.204000Z",
    "version": 3,
}
_DETAIL: dict[str, Any] = {
    **_SUMMARY,
    "urgency_reasons": ["18 mm of 120 mm edge clearance are left."],
    "urgency_why": None,
    "work_method": "square-return-idlers",
    "belt_position_m": None,
    "side": "left",
    "side_words": "sea side",
    "correction": {
        "what": "return idler",
        "where": "R2-9 to R2-13",
        "move_mm": 2.0,
        "direction": "advance the end on the left (sea side) toward the tail",
        "wait_revolutions": 3,
        "look_for": "the belt comes back to the centre line at R2-17",
    },
    "needs_isolation": True,
    "duration_h": 5.25,
    "people": 2,
    "tools": ["steel tape", "square", "spanners", "paint marker"],
    "parts": ["hanger bolts"],
    "cautions": ["Never reach to a moving belt, roll or pulley, with hand or tool."],
    "proof": "Belt comes central to the tail pulley, empty and loaded, for three turns each.",
    "waiting_why": None,
    "waits_for": ["LT-W-0110"],
    "steps": [
        {
            "place": 1,
            "what": "Mark the rolls to be looked at; note how each hangs now.",
            "duration_h": 0.5,
            "skill": "mechanic",
            "done_at": None,
        }
    ],
    "moves": [
        {
            "from_state": None,
            "to_state": "proposed",
            "at": "2026-11-17T19:42:10.512000Z",
            "by": "Tam Verity",
            "why": None,
        },
        {
            "from_state": "proposed",
            "to_state": "approved",
            "at": "2026-11-17T19:58:01.120000Z",
            "by": "Ines Halloway",
            "why": None,
        },
    ],
    "proof_runs": [],
}

SUMMARY = OpenApiExample("A work order in a list", value=_SUMMARY, response_only=True)
DETAIL = OpenApiExample("A work order", value=_DETAIL, response_only=True)
NUMBERS = [
    OpenApiExample("Planned on the demo plant", value="LT-W-0111"),
    OpenApiExample("The first of the plant", value="LT-W-0001"),
]
