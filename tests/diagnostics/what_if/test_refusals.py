"""Questions that cannot be answered: each refused by the field to mend, in one sentence."""

import pytest

from diagnostics.inference.what_if.causes_asked import is_drawn
from diagnostics.inference.what_if.choice import WhatIfRefusal, read_choice
from plant.loop.path import build_loop
from plant.loop.vocabulary import Side
from tests.diagnostics.belts import FEEDER, INCLINE, OVERLAND, conveyor, knowledge
from tests.diagnostics.what_if.pictures import shown


def refusal(cause: str, layout=INCLINE, **typed: str) -> WhatIfRefusal:
    with pytest.raises(WhatIfRefusal) as refused:
        shown(conveyor(layout), cause, **typed)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 300
    return refused.value


@pytest.mark.parametrize(
    ("typed", "near"),
    [
        ("tail_pulley_skew", "tail_pulley_skewed"),
        ("croked_splice", "crooked_splice"),
        ("loading", "off_centre_loading"),
    ],
)
def test_an_unknown_cause_names_the_nearest(typed, near):
    refused = refusal(typed)

    assert refused.field == "cause"
    assert near in str(refused)


@pytest.mark.parametrize("typed", ["\x00", "x" * 5000, "a\nb", "§§§"])
def test_an_odd_cause_is_refused_on_one_short_line(typed):
    assert refusal(typed).field == "cause"


def test_no_cause_asks_for_one():
    with pytest.raises(WhatIfRefusal) as refused:
        read_choice({"cause": "  "})

    assert refused.value.field == "cause"


def test_every_cause_without_a_picture_is_refused_and_says_why():
    without = [one for one in knowledge().causes.values() if not is_drawn(one)]

    assert {one.slug for one in without} >= {"wind_on_belt", "tension_too_low", "uneven_feed"}
    for cause in without:
        refused = refusal(cause.slug)
        assert refused.field == "cause"
        assert "no picture" in str(refused)


@pytest.mark.parametrize(
    ("cause", "layout", "missing"),
    [
        ("take_up_carriage_skewed", FEEDER, "no take up pulley"),
        ("screw_take_up_uneven", INCLINE, "screw take-up"),
        ("plough_presses_unevenly", INCLINE, "plough"),
        ("transition_idlers_uneven", INCLINE, "transition idlers"),
    ],
)
def test_a_cause_that_cannot_stand_here_says_what_is_missing(cause, layout, missing):
    refused = refusal(cause, layout)

    assert refused.field == "cause"
    assert missing in str(refused)


@pytest.mark.parametrize(
    ("cause", "at", "said"),
    [
        ("carrying_idlers_skewed", "", "142 places"),
        ("bend_pulley_skewed", "", "BEND1, BEND2"),
        ("structure_bowed", "", "middle of the bow"),
        ("carrying_idlers_skewed", "C6-99", "Nearest: C6-"),
        ("carrying_idlers_skewed", "nowhere at all", "no component"),
        ("carrying_idlers_skewed", "\x00", "no component"),
        ("carrying_idlers_skewed", "300", "nearest place"),
        ("carrying_idlers_skewed", "367.95", "off the loop"),
        ("carrying_idlers_skewed", "-1", "off the loop"),
        ("carrying_idlers_skewed", "1e9", "off the loop"),
        ("carrying_idlers_skewed", "nan", "no component"),
        ("carrying_idlers_skewed", "inf", "no component"),
        ("tail_pulley_skewed", "HEAD", "TAIL"),
        ("tail_pulley_skewed", "100", "TAIL at 367 m"),
        ("structure_bowed", "5", "from 10.0 to 170.0 m"),
        ("structure_bowed", "300", "carrying run"),
        ("crooked_splice", "4000", "off the loop"),
        ("crooked_splice", "nowhere", "no component"),
    ],
)
def test_a_place_that_is_not_there_is_refused_with_a_way_on(cause, at, said):
    refused = refusal(cause, at=at)

    assert refused.field == "at"
    assert said in str(refused)


@pytest.mark.parametrize("size", ["0", "-1", "nan", "inf", "1e99", "a lot", "1 deg", "1e30"])
def test_a_size_that_is_no_positive_finite_number_is_refused(size):
    assert refusal("tail_pulley_skewed", size=size).field == "size"


@pytest.mark.parametrize(
    ("cause", "size", "most"),
    [
        ("tail_pulley_skewed", "5.1", "at most 5 deg"),
        ("off_centre_loading", "501", "at most 500 mm"),
        ("tail_pulley_worn", "60", "at most 50 mm diameter"),
        ("crooked_splice", "11", "at most 10 deg"),
        ("belt_camber", "0.1", "at most 0.02 1/m"),
        ("skirt_seal_drags", "21", "at most 20 times the usual"),
    ],
)
def test_an_absurd_size_is_refused_with_the_largest_and_its_unit(cause, size, most):
    refused = refusal(cause, size=size)

    assert refused.field == "size"
    assert most in str(refused)


@pytest.mark.parametrize("sets", ["0", "-3", "2.5", "201", "9" * 40, "many", "²"])
def test_a_number_of_sets_that_is_none_is_refused(sets):
    assert refusal("carrying_idlers_skewed", at="90", sets=sets).field == "sets"


def test_more_sets_than_the_run_has_are_refused():
    refused = refusal("return_idler_skewed", at="200", sets="150")

    assert refused.field == "sets"
    assert "has" in str(refused)


@pytest.mark.parametrize("cause", ["tail_pulley_skewed", "crooked_splice", "structure_bowed"])
def test_sets_are_for_idlers_alone(cause):
    assert refusal(cause, at="90", sets="3").field == "sets"


@pytest.mark.parametrize("belt_at", ["-1", "1e6", "367.96", "there", "nan"])
def test_a_place_off_the_belt_is_refused(belt_at):
    assert refusal("crooked_splice", belt_at=belt_at).field == "belt_at"


def test_a_belt_position_is_for_what_travels():
    assert refusal("tail_pulley_skewed", belt_at="20").field == "belt_at"


@pytest.mark.parametrize(("field", "typed"), [("side", "up"), ("load", "wet"), ("side", "\x00")])
def test_other_words_for_side_and_load_are_refused_with_those_accepted(field, typed):
    refused = refusal("tail_pulley_skewed", **{field: typed})

    assert refused.field == field
    assert ("left" if field == "side" else "loaded") in str(refused)


@pytest.mark.parametrize(
    ("typed", "component"),
    [("c6-6", "C6-6"), ("89.7", "C6-6"), ("89,7 m", "C6-6"), ("C1-", "C1-6")],
)
def test_a_place_may_be_named_or_given_in_metres(typed, component):
    found = shown(conveyor(INCLINE), "carrying_idlers_skewed", at=typed)

    assert found.asked.standing.component == component


def test_metres_near_a_pulley_mean_the_pulley():
    found = shown(conveyor(OVERLAND), "head_pulley_skewed", at="903")

    assert found.asked.standing.component == "HEAD"


def test_a_single_place_needs_no_naming_and_usual_values_are_taken():
    found = shown(conveyor(INCLINE), "tail_pulley_skewed")

    assert found.asked.standing.component == "TAIL"
    assert found.asked.size == 0.7
    assert found.asked.side is Side.RIGHT
    assert [one.load.value for one in found.pictures] == ["loaded", "empty"]


def test_a_belt_without_idlers_shows_pulleys_and_refuses_what_needs_rolls():
    facts = conveyor(FEEDER)
    bare = build_loop([part for part in facts.loop.parts if not part.is_idler])
    facts = conveyor(FEEDER, loop=bare)

    pulley = shown(facts, "tail_pulley_skewed")

    assert abs(pulley.pictures[0].computed_peak_mm) > 0
    for cause in ("skirt_seal_drags", "off_centre_loading", "structure_bowed"):
        with pytest.raises(WhatIfRefusal, match="idler") as refused:
            shown(facts, cause, at="20")
        assert refused.value.field == "cause"
