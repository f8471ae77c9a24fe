"""The published training rules as sign tests of the belt mechanics.

US Army TM 5-3895-374-24-2, pages 620-621, and TM 5-3820-233-12; cases in data/steering_cases.json.
"""

import json
import math
from pathlib import Path
from typing import Any

import pytest

from diagnostics.mechanics.candidates import Candidates
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.level_faults import lowered_structure
from diagnostics.mechanics.pulley_faults import skewed_pulley
from diagnostics.mechanics.roll_faults import off_centre_loads, single_rolls
from plant.loop.parts import Part
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import ComponentKind, Run
from tests.diagnostics.mechanics.small_lines import line, offset_mm, pulley

K = ComponentKind
CASES = json.loads((Path(__file__).parent / "data/steering_cases.json").read_text())["cases"]
# Geometry of the wrap and gravity compete within millimetres where a belt meets a pulley out of
# level: the published rule stays a rule, no candidate fault is computed.
NOT_COMPUTED = {"level-pulley-R", "level-pulley-L"}
PULLEYS = {
    "head pulley": K.HEAD_PULLEY,
    "tail pulley": K.TAIL_PULLEY,
    "snub pulley": K.SNUB_PULLEY,
    "bend pulley": K.BEND_PULLEY,
}
IDLERS = {"troughing idler": Run.CARRYING, "flat return roll": Run.RETURN}


def every_pulley() -> Loop:
    """Tail, head with its snub, bends round a hanging take-up."""
    return build_loop(
        [
            Part("LOAD", K.LOAD_POINT, Run.CARRYING, 2.0, length_m=3.0),
            Part("C", K.TROUGHING_IDLERS, Run.CARRYING, 1.0, 1.2, 81, is_numbered=True),
            pulley("HEAD", K.HEAD_PULLEY, Run.CARRYING, 100.0, (0, -200)),
            pulley("SNUB", K.SNUB_PULLEY, Run.RETURN, 103.0, (-200, -180), 400),
            Part("R", K.RETURN_IDLERS, Run.RETURN, 105.0, 3.0, 15, is_numbered=True),
            pulley("BEND1", K.BEND_PULLEY, Run.RETURN, 150.0, (180, 270), 400),
            pulley("TAKEUP", K.TAKE_UP_PULLEY, Run.RETURN, 155.0, (270, 90)),
            pulley("BEND2", K.BEND_PULLEY, Run.RETURN, 161.0, (90, 180), 400),
            Part("T", K.RETURN_IDLERS, Run.RETURN, 164.0, 3.0, 14, is_numbered=True),
            pulley("TAIL", K.TAIL_PULLEY, Run.RETURN, 205.0, (180, 0)),
        ]
    )


def computed_mm(case: dict[str, Any]) -> float:
    """Offset by the case's fault: of pulleys where the belt meets them, else behind the fault."""
    given, loop = case["given"], every_pulley()
    loaded = case["component"] == "load point"
    model = LateralModel(line(loop, load_kg_m=150.0 if loaded else 0.0, vee_deg=5))
    width_mm = 1000.0
    # A roll's right end ahead by a: heading -a / W; candidates are positive to the right.
    skew_deg = -math.degrees(given.get("a_mm", 0) / width_mm)
    if case["component"] in PULLEYS:
        part = loop.of_kind(PULLEYS[case["component"]])[0]
        nodes = next(one for one in model.line.nodes.pulleys if one.part is part)
        return skew_deg * offset_mm(model, skewed_pulley(model, nodes)[0], 0, part.first_m)
    if case["component"] in IDLERS:
        at_m = 50.0 if IDLERS[case["component"]] is Run.CARRYING else 130.0
        return skew_deg * behind(model, single_rolls(model), at_m)
    if case["component"] == "load point":
        return -given["c_mm"] * offset_mm(model, off_centre_loads(model)[0], 0, 60.0)
    # Right end higher by e over the width: the candidate has it lower.
    lowered = lowered_structure(model, Run.CARRYING, 30.0, 70.0)
    return -given["e_mm"] * offset_mm(model, lowered, 0, 50.0)


def behind(model: LateralModel, rolls: Candidates, at_m: float) -> float:
    number = rolls.nearest(at_m)
    return offset_mm(model, rolls, number, float(rolls.position_m[number]) + 1.0)


EFFECTS = [one for one in CASES if "expect_sign_dy" in one and one["id"] not in NOT_COMPUTED]


@pytest.mark.parametrize("case", EFFECTS, ids=lambda one: one["id"])
def test_computed_belt_goes_where_the_army_manuals_say(case):
    moved_mm = computed_mm(case)

    assert math.copysign(1, moved_mm) == case["expect_sign_dy"]
    assert abs(moved_mm) > 0.02


CORRECTIONS = [one for one in CASES if "expect_sign_a" in one]


@pytest.mark.parametrize("case", CORRECTIONS, ids=lambda one: one["id"])
def test_published_correction_moves_the_computed_belt_back(case):
    component = "troughing idler" if case["incoming_run"] == "carrying" else "flat return roll"
    shift = {"component": component, "given": {"a_mm": 3 * case["expect_sign_a"]}}

    assert computed_mm(shift) * case["given"]["y_mm"] < 0


def test_every_published_case_is_computed_or_said_not_to_be():
    named = {one["id"] for one in [*EFFECTS, *CORRECTIONS]} | NOT_COMPUTED

    assert named == {one["id"] for one in CASES}
