"""Laws of the check's formulas, whatever the figures: which way they go, and in which units."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.mechanics.register_check import formulas
from diagnostics.mechanics.register_check.tension_profile import TensionProfile
from diagnostics.mechanics.tension import LEAST_SHARE, Strands, tension_along_loop_n
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import ComponentKind
from tests.diagnostics.mechanics.register_check.checked import parts_of

LENGTHS = st.floats(0.2, 6)
MASSES = st.floats(2, 600)
TENSIONS = st.floats(100, 500_000)
MORE = st.floats(1.01, 5)
SPEEDS = st.floats(0.1, 9)
DIAMETERS_MM = st.floats(50, 2000)


@given(LENGTHS, MASSES, TENSIONS, MORE)
def test_more_tension_less_sag_more_weight_or_room_more_sag(spacing_m, mass, tension_n, more):
    sag = formulas.sag_share(spacing_m, mass, tension_n)

    assert formulas.sag_share(spacing_m, mass, tension_n * more) < sag
    assert formulas.sag_share(spacing_m, mass * more, tension_n) > sag
    assert formulas.sag_share(spacing_m * more, mass, tension_n) > sag


@given(LENGTHS, MASSES, st.floats(0.001, 0.05))
def test_the_tension_for_a_sag_gives_that_sag(spacing_m, mass, share):
    tension_n = formulas.tension_for_sag_n(spacing_m, mass, share)

    assert formulas.sag_share(spacing_m, mass, tension_n) == pytest.approx(share)


@given(SPEEDS, DIAMETERS_MM, MORE)
def test_turns_and_rim_speed_undo_each_other_and_small_rolls_turn_faster(speed, diameter, more):
    turns = formulas.roll_speed_rpm(speed, diameter)

    assert formulas.rim_speed_mps(turns, diameter) == pytest.approx(speed)
    assert formulas.roll_speed_rpm(speed, diameter * more) < turns
    assert formulas.roll_speed_rpm(speed * more, diameter) > turns


@given(st.floats(1, 20_000), st.floats(1, 20_000))
def test_the_longer_the_belt_the_less_its_other_resistances_count(one_m, other_m):
    near, far = sorted((one_m, other_m))

    nearer, farther = formulas.length_coefficient(near), formulas.length_coefficient(far)

    assert nearer >= farther > 1


@given(st.floats(100, 3200), st.floats(0, 60), st.floats(0, 60), st.booleans())
def test_a_steeper_trough_needs_no_shorter_transition(width_mm, one_deg, other_deg, is_steel_cord):
    flat, steep = sorted((one_deg, other_deg))

    def least(angle: float) -> float:
        return formulas.transition_m(width_mm, angle, is_steel_cord=is_steel_cord)

    assert least(flat) <= least(steep)
    assert formulas.transition_m(width_mm, steep, is_steel_cord=True) >= least(steep)


@given(st.floats(0, 20_000), SPEEDS)
def test_what_lies_on_a_metre_times_the_speed_is_the_capacity(capacity_tph, speed_mps):
    kg_s = formulas.load_kg_m(capacity_tph, speed_mps) * speed_mps

    assert kg_s == pytest.approx(capacity_tph * 1000 / 3600)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_what_is_no_figure_is_refused_by_name(value):
    with pytest.raises(ValueError, match="spacing_m"):
        formulas.sag_share(value, 10, 1000)
    with pytest.raises(ValueError, match="diameter_mm"):
        formulas.roll_speed_rpm(2, value)


def test_a_belt_without_tension_hangs_through():
    assert formulas.sag_share(1.2, 100, 0.0) == math.inf
    assert formulas.sag_share(1.2, 100, -500.0) == math.inf


def profile(loop: Loop, *, load: float, lift_m: float, known_n: float) -> TensionProfile:
    strands = Strands(14.0, load, 12.0, 5.0, lift_m, loop.head_m)
    take_up = loop.of_kind(ComponentKind.TAKE_UP_PULLEY)[0]
    heads = loop.of_kind(ComponentKind.HEAD_PULLEY)
    return TensionProfile(loop, strands, heads, take_up.first_m, known_n)


LOOP = build_loop(parts_of())
FIGURES = {
    "load": st.floats(0, 500),
    "lift_m": st.floats(-30, 60),
    "known_n": st.floats(1000, 200_000),
}


@given(**FIGURES)
def test_the_belt_comes_round_to_the_tension_it_left_with(load, lift_m, known_n):
    tension_n = profile(LOOP, load=load, lift_m=lift_m, known_n=known_n).at_n(
        np.array([0.0, LOOP.length_m])
    )

    assert tension_n[0] == pytest.approx(tension_n[1], abs=1e-6 * known_n + 1e-3)


@given(**FIGURES)
def test_the_tension_at_the_take_up_is_what_hangs_there(load, lift_m, known_n):
    one = profile(LOOP, load=load, lift_m=lift_m, known_n=known_n)

    assert one.at_n(np.array([one.known_at_m]))[0] == pytest.approx(known_n)


@given(**FIGURES, more_n=st.floats(1, 50_000))
def test_a_heavier_take_up_raises_every_tension_by_as_much(load, lift_m, known_n, more_n):
    places = np.linspace(0, LOOP.length_m, 50)

    light = profile(LOOP, load=load, lift_m=lift_m, known_n=known_n).at_n(places)
    heavy = profile(LOOP, load=load, lift_m=lift_m, known_n=known_n + more_n).at_n(places)

    assert heavy - light == pytest.approx(np.full(50, more_n), rel=1e-6)


@given(load=st.floats(0, 300), known_n=st.floats(60_000, 200_000))
def test_level_belts_have_the_tension_of_the_lateral_model(load, known_n):
    one = profile(LOOP, load=load, lift_m=0.0, known_n=known_n)
    places = np.linspace(0, LOOP.length_m, 80)

    model = tension_along_loop_n(
        places,
        head_m=LOOP.head_m,
        length_m=LOOP.length_m,
        strands=one.strands,
        known_at_m=one.known_at_m,
        known_n=known_n,
    )

    # The model keeps tensions above a share of the known one; none comes near it here.
    assert model.min() > LEAST_SHARE * known_n
    assert one.at_n(places) == pytest.approx(model, rel=1e-9)


def test_a_drive_on_the_return_run_carries_the_high_tension_over_the_head():
    head = profile(LOOP, load=80, lift_m=0.0, known_n=20_000)
    bend = next(part for part in LOOP.pulleys if part.kind is ComponentKind.BEND_PULLEY)
    there = TensionProfile(LOOP, head.strands, (bend,), head.known_at_m, head.known_n)
    between = np.array([LOOP.head_m + 2.0])

    assert there.at_n(between)[0] - head.at_n(between)[0] == pytest.approx(head.line_pull_n)
    assert there.at_n(np.array([100.0])) == pytest.approx(head.at_n(np.array([100.0])))


def test_two_drives_share_the_pull_and_grip_with_both_arcs():
    head = profile(LOOP, load=80, lift_m=0.0, known_n=20_000)
    bend = next(part for part in LOOP.pulleys if part.kind is ComponentKind.BEND_PULLEY)
    both = TensionProfile(LOOP, head.strands, (*head.drives, bend), head.known_at_m, 20_000)

    assert both.wrap_rad == pytest.approx(math.radians(270))
    assert both.grip > head.grip
    assert both.behind_drive_n == pytest.approx(
        both.at_n(np.array([bend.first_m + 0.01]))[0], rel=1e-3
    )
