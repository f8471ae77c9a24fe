"""A correction put into the lateral model brings the belt back toward the centre."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.correction.comebacks import comebacks_of, shifts_at
from diagnostics.inference.correction.first_step import correction_for
from diagnostics.inference.correction.pulleys import BEARING_BESIDE_BELT_MM
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.vocabulary import LoadState
from diagnostics.inference.weighing import Weigher
from diagnostics.mechanics.pulley_faults import skewed_pulley, steering
from diagnostics.mechanics.roll_faults import roll_groups, single_rolls
from plant.loop.vocabulary import Run, Side
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, GALLERY, INCLINE, conveyor, evidence
from tests.diagnostics.modelled import Fault, entry, first_of, walk_with

SIDES = list(Side)
# Side-view directions of the words at a pulley. [deg]
WAYS = {
    "away from the head": 180.0,
    "toward the tail": 180.0,
    "away from the tail": 0.0,
    "toward the head": 0.0,
    "up": 90.0,
    "down": 270.0,
}


def model_of(facts, load=LoadState.LOADED):
    return models_of(facts, [load])[load]


def offset_at(model, forcing, position_m: float) -> float:
    """[mm]"""
    return float(1000 * model.offsets_m(model.solve(forcing), np.array([position_m]))[0])


def shifted(facts, model, correction) -> np.ndarray:
    """Right-hand side of the idlers that a correction moves, read from its words alone."""
    first, last = correction.where.split(",")[0].split(" to ")
    first_m, last_m = (facts.loop.station_named(one).position_m for one in (first, last))
    side = Side(correction.direction.split(" ")[0])
    toward_head = correction.direction.endswith("toward the head")
    rolls = model.line.nodes.rolls
    chosen = [
        number
        for number, one in enumerate(rolls)
        if first_m - 1e-6 <= one.position_m <= last_m + 1e-6 and not one.is_self_aligning
    ]
    # Along travel of the run: toward the head on the carrying run, the tail on the return run.
    ahead = 1 if toward_head == (rolls[chosen[0]].run is Run.CARRYING) else -1
    right_end_ahead = side.sign * ahead * correction.move_mm / facts.belt.width_mm
    singles = single_rolls(model)
    return sum(singles.of(one, -math.degrees(right_end_ahead)) for one in chosen)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("run", list(Run))
@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_advanced_idlers_bring_the_belt_back(layout, run, side):
    facts = conveyor(layout)
    model = model_of(facts)
    at_m = facts.loop.head_m * (0.5 if run is Run.CARRYING else 1.4)
    group = roll_groups(model, run)[-1]
    candidate = group.nearest(at_m)
    cause = "carrying_idlers_skewed" if run is Run.CARRYING else "return_idler_skewed"
    fault = group.of(candidate, 2.0 * side.sign)
    place_m = float(group.position_m[candidate])

    correction = correction_for(entry(cause, place_m, side, size=2.0, size_unit="deg"), facts)

    assert correction is not None
    # Somewhat behind the shifted idlers, where the belt stands off most.
    watched = max(
        np.arange(place_m - 10, place_m + 25, 1.0),
        key=lambda one: abs(offset_at(model, fault, one)),
    )
    before = offset_at(model, fault, watched)
    after = offset_at(model, fault + shifted(facts, model, correction), watched)
    assert before * side.sign > 0
    assert abs(after) < abs(before) - 0.3


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize(
    ("cause", "name"),
    [
        ("tail_pulley_skewed", "TAIL"),
        ("head_pulley_skewed", "HEAD"),
        ("bend_pulley_skewed", "BEND1"),
        ("bend_pulley_skewed", "BEND2"),
        ("take_up_carriage_skewed", "TAKEUP"),
    ],
)
def test_squared_pulleys_bring_the_belt_back(cause, name, side):
    facts = conveyor(INCLINE)
    model = model_of(facts)
    pulley = next(one for one in model.line.nodes.pulleys if one.part.name == name)
    skew_deg = 0.4
    (fault, *_) = skewed_pulley(model, pulley)
    at_m = pulley.part.first_m

    correction = correction_for(
        entry(cause, at_m, side, component=name, size=skew_deg, size_unit="deg"), facts
    )

    assert correction is not None
    forcing = fault.of(0, skew_deg * side.sign)
    mend = squared(facts, pulley, correction, len(forcing))
    before, after = (offset_at(model, one, at_m) for one in (forcing, forcing + mend))
    assert before * side.sign > 0
    # About square again: what is left is the rounding to whole millimetres.
    assert abs(after) < 0.15 * abs(before)


def squared(facts, pulley, correction, size) -> np.ndarray:
    """Right-hand side of the bearing that a correction moves, read from its words alone."""
    bearing = Side(correction.direction.split(" ")[0])
    way = next(word for word in WAYS if f"bearing {word}," in correction.direction)
    moved = steering(pulley.part, WAYS[way])
    # `steering` is of the left bearing; the right one turns the pulley the other way.
    between_mm = facts.belt.width_mm + 2 * BEARING_BESIDE_BELT_MM
    turned = -bearing.sign * correction.move_mm / between_mm
    mend = np.zeros(size)
    mend[2 * pulley.node_in] = moved.heading_in * turned
    mend[2 * pulley.node_out + 1] = moved.heading_out * turned
    mend[2 * pulley.node_out] = moved.moved_m * turned
    return mend


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("name", ["BEND1", "BEND2"])
def test_a_bend_that_steers_where_the_belt_leaves_is_squared_that_way(name, side):
    facts = conveyor(INCLINE)
    model = model_of(facts)
    pulley = next(one for one in model.line.nodes.pulleys if one.part.name == name)
    weigher, _ = weighed(facts, Fault("skew TAIL", 0.0, 0.4))
    families = [n for n, one in enumerate(weigher.profile.names) if one == f"skew {name}"]
    skew_deg = 0.6
    outward = skewed_pulley(model, pulley)[1]
    forcing = outward.of(0, skew_deg * side.sign)
    at_m = facts.loop.wrap(pulley.part.first_m + pulley.part.arc_m)

    correction = correction_for(
        entry(
            "bend_pulley_skewed",
            pulley.part.first_m,
            side,
            component=name,
            size=skew_deg,
            size_unit="deg",
            column=(families[1], 0),
        ),
        facts,
        weigher.profile,
    )

    assert correction is not None
    mend = squared(facts, pulley, correction, len(forcing))
    before, after = (offset_at(model, one, at_m) for one in (forcing, forcing + mend))
    assert abs(after) < 0.15 * abs(before)


def weighed(facts, *faults):
    seen = walk_with(facts, *faults) + walk_with(facts, *faults, load=LoadState.EMPTY)
    return Weigher(evidence(facts, seen), None), seen


@pytest.mark.parametrize(
    ("fault", "cause"),
    [
        (Fault("idlers carrying", 120.0, 3.0), "carrying_idlers_skewed"),
        (Fault("idlers return", 300.0, 5.0), "return_idler_skewed"),
        (Fault("skew TAIL", 0.0, 0.4), "tail_pulley_skewed"),
        (Fault("bow carrying", 120.0, 150.0), "structure_bowed"),
        (Fault("loading", 2.0, 100.0), "off_centre_loading"),
    ],
)
def test_what_is_promised_to_come_back_is_what_the_fault_did_there(fault, cause):
    facts = conveyor(GALLERY)
    _, seen = weighed(facts, fault)

    correction = first_of(diagnose(evidence(facts, seen), belts.knowledge()), cause).correction

    promised = re.findall(r"by about (\d+) mm at ([\w-]+), (loaded|empty)", correction.look_for)
    assert 1 <= len(promised) <= 3
    by_look = {(one.station, one.load.value): one.offset_mm for one in seen}
    for mm, station, load in promised:
        did = abs(by_look[station, load])
        # Estimates are drawn toward what is usual, never beyond what was read.
        assert 0.25 * did <= float(mm) <= did + 5


def test_nothing_is_promised_where_nothing_was_seen():
    facts = conveyor(GALLERY)

    correction = correction_for(
        entry("tail_pulley_skewed", 527.0, Side.LEFT, component="TAIL"), facts
    )

    assert correction is not None
    assert "comes back" not in correction.look_for


def test_comebacks_are_where_the_belt_was_off_to_that_side():
    facts = conveyor(GALLERY)
    weigher, _ = weighed(facts, Fault("skew TAIL", 0.0, 0.4))
    tail = weigher.profile.names.index("skew TAIL")
    right = entry("tail_pulley_skewed", 527.0, Side.RIGHT, column=(tail, 0), amplitude=0.4)
    left = replace(right, side=Side.LEFT, amplitude=-0.4)

    assert comebacks_of(right, facts, weigher.profile)
    assert comebacks_of(left, facts, weigher.profile) == ()


@pytest.mark.parametrize("run", list(Run))
def test_single_shifts_agree_with_the_model_solved_forward(run):
    facts = conveyor(GALLERY)
    weigher, _ = weighed(facts, Fault("skew TAIL", 0.0, 0.4))
    model = model_of(facts)
    rolls = [number for number, one in enumerate(model.line.nodes.rolls) if one.run is run][20:23]
    stations = [facts.loop.station_named(model.line.nodes.rolls[one].name) for one in rolls]
    at_m = stations[-1].position_m + 3
    sighting = min(
        (one for one in weigher.readings.sightings if one.load is LoadState.LOADED),
        key=lambda one: abs(one.position_m - at_m),
    )

    found = shifts_at(stations, 0.5, facts, weigher.profile, sighting)

    singles = single_rolls(model)
    expected = [offset_at(model, singles.of(one, 0.5), sighting.position_m) for one in rolls]
    assert found == pytest.approx(expected, abs=1e-6)
