"""A correction put into the lateral model brings the belt back toward the centre."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.correction.comebacks import comebacks_of, shifts_at
from diagnostics.inference.correction.first_step import correction_for
from diagnostics.inference.correction.idlers import heading_deg
from diagnostics.inference.correction.pulleys import BEARING_BESIDE_BELT_MM, MOST_MM
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.ranking import Entry
from diagnostics.inference.vocabulary import LoadState
from diagnostics.inference.weighing import Weigher
from diagnostics.mechanics.pulley_faults import skewed_pulley, steering
from diagnostics.mechanics.roll_faults import roll_groups, single_rolls
from plant.loop.vocabulary import Run, Side
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, GALLERY, INCLINE, conveyor, evidence
from tests.diagnostics.modelled import Fault, walk_with

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


def entry(cause: str, position_m: float, side: Side, **changes) -> Entry:
    found = belts.knowledge().causes[cause]
    plain = Entry(found, 0.5, 1.0, position_m=position_m, lower_m=position_m, upper_m=position_m)
    return replace(plain, side=side, **changes)


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


def first_of(answer, cause: str):
    return next(one for one in answer.ranked if one.cause == cause)


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


# US Army TM 5-3895-374-24-2 p. 620: the belt goes away from the end that is ahead along travel.
@pytest.mark.parametrize("side", SIDES)
def test_army_manual_the_end_that_is_advanced_drives_the_belt_to_the_other_side(side):
    assert heading_deg(side, 3.0, 1000.0) * side.sign < 0


@pytest.mark.parametrize(("size", "expected"), [(0.2, "5"), (0.5, "12"), (5.0, "25")])
def test_a_pulley_is_said_to_stand_back_by_its_angle_and_no_more_than_can_be_believed(
    size, expected
):
    facts = conveyor(INCLINE)

    correction = correction_for(
        entry(
            "tail_pulley_skewed", 366.0, Side.RIGHT, component="TAIL", size=size, size_unit="deg"
        ),
        facts,
    )

    assert correction is not None
    assert f"about {expected} mm" in correction.what
    assert correction.move_mm == float(expected) <= MOST_MM
    assert "move it by what measuring shows" in correction.what
    assert "squared and left there" in correction.what


@pytest.mark.parametrize("side", SIDES)
def test_a_bowed_structure_is_brought_back_to_the_side_the_belt_ran_to(side):
    facts = conveyor(GALLERY)
    seen = walk_with(facts, Fault("bow carrying", 120.0, 150.0 * side.sign), about=200)

    correction = first_of(
        diagnose(evidence(facts, seen), belts.knowledge()), "structure_bowed"
    ).correction

    assert correction.direction == f"structure toward the {side}"
    assert f"bows to the {side.opposite} by about {correction.move_mm:.0f} mm" in correction.what
    assert re.search(r"over about (16|32|48) m, from \d+ m to \d+ m", correction.what)


# US Army TM 5-3895-374-24-2 p. 620: the belt runs to the lightly loaded edge.
@pytest.mark.parametrize("side", SIDES)
def test_army_manual_the_load_follows_the_belt(side):
    facts = conveyor(GALLERY)

    correction = correction_for(
        entry("off_centre_loading", 2.0, side, size=63.0, size_unit="mm"), facts
    )

    assert correction is not None
    assert correction.direction == f"material toward the {side}"
    assert correction.move_mm == 65.0
    assert f"too far to the {side.opposite}" in correction.what


@pytest.mark.parametrize(
    ("cause", "most_mm"), [("structure_bowed", 200.0), ("off_centre_loading", 250.0)]
)
def test_what_is_too_large_to_be_believed_is_cut_off_and_said_so(cause, most_mm):
    facts = conveyor(INCLINE)

    correction = correction_for(entry(cause, 60.0, Side.LEFT, size=900.0, size_unit="mm"), facts)

    assert correction is not None
    assert correction.move_mm == most_mm
    assert f"{most_mm:.0f} mm or more" in correction.what


def test_every_screw_take_up_cause_has_its_own_words():
    facts = conveyor(belts.FEEDER)
    causes = [
        one
        for one in belts.knowledge().causes.values()
        if one.cause_class.value == "tail_pulley" and one.shift is not None
    ]

    said = {
        correction_for(
            entry(one.slug, 90.5, Side.LEFT, component="TAIL", amplitude=0.5), facts
        ).what
        for one in causes
    }

    assert len(causes) >= 2
    assert len(said) == len(causes)
    assert any("tighten the screw" in one for one in said)


@pytest.mark.parametrize("side", SIDES)
def test_a_taper_names_its_larger_end_and_shifts_nothing(side):
    facts = conveyor(INCLINE)

    correction = correction_for(
        entry(
            "head_lagging_worn_one_side",
            180.0,
            side,
            component="HEAD",
            size=4.0,
            size_unit="mm diameter",
        ),
        facts,
    )

    assert correction is not None
    assert f"The {side} end probably is the larger one, by about 4 mm" in correction.what
    assert correction.move_mm is None


def test_nothing_is_trained_for_what_travels_with_the_belt():
    facts = conveyor(INCLINE)
    for cause in belts.knowledge().causes.values():
        if cause.cause_class.value in ("belt_splice", "belt_section"):
            correction = correction_for(Entry(cause, 0.5, 1.0, side=Side.LEFT), facts)
            assert correction is not None
            assert correction.move_mm is None
            assert "idler" in correction.what
            assert "comes round with it" in correction.look_for


def test_no_correction_has_anybody_touch_a_moving_belt():
    facts = conveyor(INCLINE)
    for cause in belts.knowledge().causes.values():
        at_m = 60.0 if cause.stands_at else None
        one = Entry(cause, 0.5, 1.0, position_m=at_m, side=Side.LEFT, component="TAIL", size=1.0)
        correction = correction_for(one, facts)
        assert correction is not None
        text = f"{correction.what} {correction.direction}"
        assert not re.search(r"while (it|the belt) (runs|is running|moves)|moving belt", text)
        if cause.shift is not None:
            assert "stopped and locked out" in text


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_mirrored_entries_have_mirrored_corrections(layout):
    facts = conveyor(layout)
    swap = {"left": "right", "right": "left"}

    def mirrored(text: str) -> str:
        return re.sub(r"\b(left|right)\b", lambda one: swap[one[0]], text)

    for cause in belts.knowledge().causes.values():
        one = Entry(
            cause,
            0.5,
            1.0,
            position_m=60.0,
            side=Side.LEFT,
            component="TAIL",
            size=1.0,
            size_unit=cause.size_unit,
        )
        left, right = (correction_for(replace(one, side=side), facts) for side in SIDES)
        if cause.shift is None and cause.size_unit not in ("mm", "mm diameter"):
            continue
        assert left is not None
        assert right is not None
        assert mirrored(left.direction) == right.direction
        assert left.move_mm == right.move_mm
        assert left.where == right.where
