"""What a correction says: which end, how far, and what it never says."""

import re
from dataclasses import replace

import pytest

from diagnostics.inference.correction.first_step import correction_for
from diagnostics.inference.correction.idlers import heading_deg
from diagnostics.inference.correction.pulleys import MOST_MM
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.ranking import Entry
from plant.loop.vocabulary import Side
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, GALLERY, INCLINE, conveyor, evidence
from tests.diagnostics.modelled import Fault, entry, first_of, walk_with

SIDES = list(Side)


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
