"""A small case file as plain data, for tests that bend it."""

import json
from typing import Any

from diagnostics.inference.case_file.document import FileCase, read_case_file


def a_case() -> dict[str, Any]:
    return {
        "id": "X-1",
        "conveyor": {
            "tag": "F1",
            "centre_distance_m": 40.0,
            "lift_m": 3.0,
            "speed_m_s": 1.6,
            "capacity_t_h": 400,
            "trough_angle_deg": 35,
            "return_vee_deg": 0,
            "clearance_mm": 100,
            "take_up": {"kind": "screw", "tension_kN": 6.0},
            "belt": {
                "width_mm": 800,
                "carcass": "EP",
                "strength_n_mm": 400,
                "modulus_kN_m": 4000,
                "mass_kg_m2": 10.0,
                "length_m": 80.9,
                "splices": [{"name": "S1", "belt_position_m": 0.0}],
            },
            "components": [
                {
                    "name": "LOAD",
                    "kind": "load_point",
                    "run": "carrying",
                    "position_m": 2.0,
                    "skirt_length_m": 3.0,
                },
                {
                    "kind": "troughing_idlers",
                    "run": "carrying",
                    "prefix": "C",
                    "first_m": 1.2,
                    "spacing_m": 1.2,
                    "count": 31,
                },
                {
                    "name": "HEAD",
                    "kind": "head_pulley",
                    "run": "head",
                    "position_m": 40.0,
                    "wrap_deg": 180,
                    "in_deg": 0,
                    "out_deg": -180,
                    "diameter_mm": 500,
                },
                {
                    "kind": "return_idlers",
                    "run": "return",
                    "prefix": "R",
                    "first_m": 43.0,
                    "spacing_m": 3.0,
                    "count": 12,
                },
                {
                    "name": "TAIL",
                    "kind": "tail_pulley",
                    "run": "tail",
                    "position_m": 80.1,
                    "wrap_deg": 180,
                    "in_deg": 180,
                    "out_deg": 0,
                    "diameter_mm": 500,
                },
            ],
        },
        "walk_down": [
            {
                "station": "C3",
                "run": "carrying",
                "position_m": 3.6,
                "load": "loaded",
                "offset_mm": 12.5,
                "degree": None,
                "side": None,
                "persistence": None,
            },
            {
                "station": "HEAD",
                "run": "head",
                "position_m": 40.0,
                "load": "loaded",
                "offset_mm": None,
                "degree": "half",
                "side": "left",
                "persistence": "steady",
            },
            {
                "station": "TAIL",
                "run": "tail",
                "position_m": 80.1,
                "load": "empty",
                "offset_mm": None,
                "degree": "centred",
                "side": None,
                "persistence": None,
            },
        ],
        "belt_watch": {
            "station": "R3",
            "run": "return",
            "position_m": 49.0,
            "kind": "taps",
            "duration_s": 160.0,
            "events": [
                {"t_s": 10.0, "event": "over-left"},
                {"t_s": 12.0, "event": "back"},
                {"t_s": 15.0, "event": "splice"},
            ],
        },
        "truth": [{"class": "whatever", "cause": 3}],
    }


def read(document: Any) -> tuple[FileCase, ...]:
    return read_case_file(json.dumps(document).encode())


def changed(path: list[str | int], value: Any) -> dict[str, Any]:
    """A case with one field replaced; removed when the value is `...`."""
    case = a_case()
    place: Any = case
    for key in path[:-1]:
        place = place[key]
    if value is ...:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return case


def a_log(**changes: Any) -> dict[str, Any]:
    log = {
        "station": "R3",
        "run": "return",
        "position_m": 49.0,
        "kind": "log",
        "duration_s": 4.0,
        "rate_hz": 1.0,
        "offset_mm": [1, 2, 3, 4],
        "splice_passes_s": [0.5, 3.0],
    }
    return {**a_case(), "belt_watch": {**log, **changes}}
