"""What is said of a belt whose own figures do not hold together."""

from dataclasses import replace

import pytest

from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.vocabulary import LoadState
from plant.loop.parts import Part
from plant.loop.path import build_loop
from plant.loop.vocabulary import ComponentKind, Run
from tests.diagnostics import belts
from tests.diagnostics.belts import FEEDER, GALLERY, conveyor, evidence, walk


def notes_of(facts, **walked):
    return diagnose(evidence(facts, walk(facts, 20, **walked)), belts.knowledge()).notes


def test_flat_belt_on_flat_rolls_is_said_to_drift():
    flat = conveyor(FEEDER, trough_angle_deg=0.0, return_vee_deg=0.0)

    assert any("drifts by itself" in note for note in notes_of(flat, loads=(LoadState.EMPTY,)))


def test_troughed_belt_is_not_said_to_drift():
    assert not any("drifts by itself" in note for note in notes_of(conveyor(FEEDER)))


@pytest.mark.parametrize(("tension_kn", "is_said"), [(2.0, True), (40.0, False), (None, False)])
def test_tension_too_low_for_the_full_load_is_asked_about(tension_kn, is_said):
    facts = conveyor(GALLERY, take_up_tension_kn=tension_kn)

    assert any("else it slips" in note for note in notes_of(facts)) is is_said


def test_tension_behind_the_head_is_not_judged_where_another_pulley_drives():
    facts = conveyor(GALLERY, take_up_tension_kn=2.0)
    drive = Part(
        "DRIVE",
        ComponentKind.DRIVE_PULLEY,
        Run.RETURN,
        facts.loop.head_m + 1.5,
        diameter_mm=400,
        wrap_deg=180,
        in_deg=180,
        out_deg=360,
    )
    driven = replace(facts, loop=build_loop([*facts.loop.parts, drive]))

    assert not any("else it slips" in note for note in notes_of(driven))
