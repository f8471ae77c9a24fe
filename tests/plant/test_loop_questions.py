"""What a register is asked about: possible, but unlikely."""

from dataclasses import replace

import pytest

from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.parts import Part
from plant.loop.path import build_loop
from plant.loop.questions import RegisterFigures, questions_about
from plant.loop.vocabulary import ComponentKind, Run, TakeUpKind
from tests.plant.loops import OPEN_CONVEYORS, parts_of, short_loop

SOUND = RegisterFigures(20.0, TakeUpKind.SCREW, has_belt=True)


def test_a_sound_register_is_asked_nothing():
    assert questions_about(build_loop(short_loop(), belt_length_m=43), SOUND) == ()


@pytest.mark.parametrize("conveyor", OPEN_CONVEYORS, ids=lambda one: one["tag"])
def test_open_conveyors_are_asked_nothing(conveyor):
    loop = build_loop(parts_of(conveyor), belt_length_m=conveyor["belt_length_m"])
    figures = RegisterFigures(
        conveyor["centre_distance_m"], TakeUpKind.SCREW, True, conveyor["lift_m"]
    )

    assert questions_about(loop, figures) == ()


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"centre_distance_m": 25.0}, "centre distance is 25 m"),
        ({"take_up": TakeUpKind.GRAVITY}, "take-up is gravity, but no take-up pulley"),
        ({"take_up": TakeUpKind.HORIZONTAL}, "take-up is horizontal"),
        ({"has_belt": False}, "No belt is fitted"),
        ({"lift_m": -21.0}, "carrying run is only 20 m long"),
    ],
)
def test_figures_that_do_not_agree_are_asked_about(changed, words):
    asked = questions_about(build_loop(short_loop()), replace(SOUND, **changed))

    assert len(asked) == 1
    assert words in asked[0]


def test_a_centre_distance_within_a_twentieth_is_not_asked_about():
    assert questions_about(build_loop(short_loop()), replace(SOUND, centre_distance_m=20.9)) == ()


def test_the_belts_own_question_comes_first():
    asked = questions_about(build_loop(short_loop(), belt_length_m=30), replace(SOUND, lift_m=50))

    assert "shorter than its path" in asked[0]
    assert "lift" in asked[1]


def test_a_loop_without_idlers_and_an_idler_on_a_pulley_are_asked_about():
    ends = [part for part in short_loop() if part.is_pulley]
    on_head = Part("R0", ComponentKind.RETURN_IDLERS, Run.RETURN, 20.4)

    assert "no idler sets" in questions_about(build_loop(ends), SOUND)[0]
    assert (
        "R0 has a set where the belt is on a pulley"
        in (questions_about(build_loop([*short_loop(), on_head]), SOUND)[0])
    )


def test_angles_that_do_not_bring_the_belt_round_are_asked_about():
    parts = lay_out(LayoutFigures(60, 630, 630, take_up=TakeUpKind.GRAVITY))
    odd = [
        replace(one, wrap_deg=60.0, out_deg=240.0) if one.name == "BEND-1" else one for one in parts
    ]

    asked = questions_about(build_loop(odd), RegisterFigures(60, TakeUpKind.GRAVITY, True))

    assert len(asked) == 1
    assert "does not come round" in asked[0]
