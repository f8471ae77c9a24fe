"""What the engineering check asks about, what it lets pass and what it does not look at."""

from dataclasses import replace

import pytest

from diagnostics.mechanics.register_check.checking import check_register
from diagnostics.mechanics.register_check.figures import Readings
from diagnostics.mechanics.register_check.findings import Bound, Check, Missing
from plant.loop.parts import Part
from plant.loop.path import build_loop
from plant.loop.profile import profile_of
from plant.loop.vocabulary import ComponentKind, Run, TakeUpKind
from tests.diagnostics.mechanics.register_check.checked import (
    all_compared,
    asked,
    compared,
    figures_of,
    parts_of,
    unchecked,
    with_belt,
)


def test_a_register_that_fits_is_asked_nothing():
    figures = figures_of()
    points = [(0.0, 0.0), (figures.loop.head_m, figures.lift_m)]
    checked = check_register(replace(figures, profile=profile_of(points)))

    assert checked.asking == ()
    assert checked.unchecked == ()
    # Nothing is left out either: every check was made.
    assert {one.check for one in checked.agreeing} == set(Check)


def test_a_belt_shorter_than_its_path_is_asked_about():
    figures = with_belt(figures_of(), length_m=400.0)

    found = compared(figures, Check.BELT_LENGTH)

    assert found.asks
    assert found.bound is Bound.AT_LEAST
    assert found.found.value == 400.0


@pytest.mark.parametrize(("longer_m", "asks"), [(5.0, False), (6.0, False), (6.6, True)])
def test_a_belt_may_be_longer_by_twice_the_travel_of_the_take_up(longer_m, asks):
    # 3 m of travel in two strands, and a thousandth for how it was measured: 6.4 m.
    figures = figures_of()
    assert figures.loop is not None
    figures = with_belt(figures, length_m=figures.loop.length_m + longer_m)

    assert compared(figures, Check.BELT_LENGTH).asks is asks


@pytest.mark.parametrize(("carcass", "asks"), [("EP", False), ("ST", True)])
def test_without_a_travel_the_usual_one_of_the_carcass_counts(carcass, asks):
    # 2 % of 200 m twice is 8 m for fabric, 0.5 % is 2 m for steel cord.
    figures = figures_of(readings=Readings())
    assert figures.loop is not None
    figures = with_belt(figures, length_m=figures.loop.length_m + 5, carcass=carcass)

    found = compared(figures, Check.BELT_LENGTH)

    assert found.asks is asks
    assert [one.is_assumed for one in found.given if one.symbol == "u"] == [True]


def test_a_fixed_take_up_takes_nothing_up():
    parts = parts_of(take_up=TakeUpKind.FIXED)
    figures = figures_of(parts, take_up_kind=TakeUpKind.FIXED)

    assert compared(figures, Check.BELT_LENGTH).asks


# 47.75 rpm on 1000 mm is 2.5 m/s.
@pytest.mark.parametrize(("speed_mps", "asks"), [(2.5, False), (2.45, False), (2.0, True)])
def test_belt_speed_is_held_against_the_rim_of_the_pulley(speed_mps, asks):
    assert compared(figures_of(speed_mps=speed_mps), Check.BELT_SPEED).asks is asks


def test_speed_is_held_against_the_drive_pulley_where_one_stands():
    head = next(part for part in parts_of() if part.kind is ComponentKind.HEAD_PULLEY)
    drive = Part(
        "DRIVE", ComponentKind.DRIVE_PULLEY, Run.RETURN, 204.0, diameter_mm=500, wrap_deg=180
    )
    figures = figures_of((*parts_of(take_up=TakeUpKind.SCREW), drive))

    assert head.name not in compared(figures, Check.BELT_SPEED).at
    assert compared(figures, Check.BELT_SPEED).at == ("DRIVE",)


# 914.4 mm is 36 inches; 950 mm is nobody's standard.
@pytest.mark.parametrize(
    ("width_mm", "asks"), [(1000, False), (1003, False), (914, False), (950, True), (100, True)]
)
def test_belt_width_is_held_against_widths_that_are_sold(width_mm, asks):
    assert compared(with_belt(figures_of(), width_mm=width_mm), Check.BELT_WIDTH).asks is asks


@pytest.mark.parametrize(
    ("angle", "asks"),
    [(0, False), (20, False), (30, False), (35.5, False), (45, False), (53, True)],
)
def test_trough_angle_is_held_against_usual_ones(angle, asks):
    assert compared(figures_of(trough_angle_deg=angle), Check.TROUGH_ANGLE).asks is asks


@pytest.mark.parametrize(("bend_mm", "asks"), [(630, False), (1000, False), (1250, True)])
def test_a_pulley_much_larger_than_one_of_more_tension_is_asked_about(bend_mm, asks):
    found = compared(figures_of(parts_of(bend_diameter_mm=bend_mm)), Check.PULLEY_ORDER)

    assert found.asks is asks


@pytest.mark.parametrize(
    ("field", "spacing_m", "bound"),
    [
        ("carrying_spacing_m", 12.0, Bound.AT_MOST),
        ("carrying_spacing_m", 0.12, Bound.AT_LEAST),
        ("return_spacing_m", 30.0, Bound.AT_MOST),
        ("return_spacing_m", 0.3, Bound.AT_LEAST),
        ("impact_spacing_m", 1.5, Bound.AT_MOST),
    ],
)
def test_a_spacing_with_a_slipped_point_is_asked_about(field, spacing_m, bound):
    figures = figures_of(parts_of(**{field: spacing_m}))

    asking = [one for one in check_register(figures).asking if one.check is Check.SPACING]

    assert [one.bound for one in asking] == [bound]
    assert asking[0].found.value == spacing_m


def test_several_groups_with_one_fault_are_one_question_with_their_names():
    parts = tuple(
        replace(part, spacing_m=2.5, count=3)
        if part.kind is ComponentKind.TROUGHING_IDLERS
        else part
        for part in parts_of(load_at_m=30)
    )
    names = {one.name for one in parts if one.kind is ComponentKind.TROUGHING_IDLERS}

    asking = [one for one in check_register(figures_of(parts)).asking if one.check is Check.SPACING]

    assert len(names) == 2
    assert [set(one.at) for one in asking] == [names]


def test_a_stretch_of_run_without_a_set_is_asked_about():
    parts = tuple(
        replace(part, count=part.count - 10) if part.name == "C" else part for part in parts_of()
    )

    found = [one for one in check_register(figures_of(parts)).asking if one.check is Check.GAP]

    assert [one.at for one in found] == [("C", "HEAD")]


def test_the_free_strands_of_a_take_up_are_no_gap():
    figures = figures_of(parts_of(take_up_leg_m=40.0))

    assert Check.GAP not in asked(figures)


@pytest.mark.parametrize(
    ("width_mm", "carcass", "asks"), [(1000, "EP", False), (1600, "EP", True), (1000, "ST", True)]
)
def test_wide_belts_and_steel_cords_need_a_longer_transition(width_mm, carcass, asks):
    # The first full trough stands 1 m behind the tail; 0.9 m, 1.44 m and 1.8 m are wanted.
    figures = with_belt(figures_of(parts_of(load_at_m=30)), width_mm=width_mm, carcass=carcass)

    at_tail, at_head = all_compared(check_register(figures), Check.TRANSITION)

    assert at_tail.at == ("TAIL", "CA")
    assert at_tail.found.value == 1.0
    assert at_tail.asks is asks
    assert at_head.at == ("C", "HEAD")


# 2.5 m/s on 133 mm turn at 359 rpm, 5 m/s at 718 rpm.
@pytest.mark.parametrize(("speed_mps", "asks"), [(2.5, False), (4.0, False), (5.0, True)])
def test_fast_rolls_are_asked_about(speed_mps, asks):
    found = compared(figures_of(speed_mps=speed_mps), Check.ROLL_SPEED)

    assert found.asks is asks


def test_a_take_up_too_light_for_drive_and_sag_is_asked_about_with_its_need():
    checked = check_register(figures_of(take_up_tension_n=3_000.0, readings=Readings()))

    asking = [one.check for one in checked.asking]
    assert Check.SLIP in asking
    assert Check.SAG_CARRYING in asking
    assert {need.check for need in checked.tensions.needs} == {
        Check.SLIP,
        Check.SAG_CARRYING,
        Check.SAG_RETURN,
    }


@pytest.mark.parametrize("check", [Check.SLIP, Check.SAG_CARRYING, Check.SAG_RETURN])
def test_the_need_is_just_what_stops_the_question(check):
    light = figures_of(take_up_tension_n=500.0, readings=Readings())
    need_n = next(
        one.strand_n for one in check_register(light).tensions.needs if one.check is check
    )

    less = replace(light, take_up_tension_n=need_n * 0.999)
    more = replace(light, take_up_tension_n=need_n * 1.001)

    assert compared(less, check).asks
    assert not compared(more, check).asks


def test_a_belt_that_would_hang_slack_is_asked_about():
    # 60 m up: the return run's own weight pulls at the head, the tail has what is left.
    figures = figures_of(lift_m=60.0, take_up_tension_n=1_000.0, readings=Readings())

    found = compared(figures, Check.TENSION)

    assert found.asks
    assert found.found.value < 0


def test_a_belt_that_drives_itself_is_not_judged_for_grip():
    assert unchecked(figures_of(lift_m=-40.0))[Check.SLIP] is Missing.BRAKING


@pytest.mark.parametrize(("mass_kg", "asks"), [(4078.0, False), (4300.0, False), (2039.0, True)])
def test_tension_of_both_strands_instead_of_one_is_found_by_the_weight(mass_kg, asks):
    # 20 kN in each of two strands is 4078 kg.
    figures = figures_of(readings=Readings(take_up_mass_kg=mass_kg))

    assert compared(figures, Check.TAKE_UP_MASS).asks is asks


def test_a_weight_read_stands_in_for_a_tension_nobody_registered():
    figures = figures_of(take_up_tension_n=None)

    checked = check_register(figures)

    assert checked.tensions.empty is not None
    assert checked.tensions.empty.known_n == pytest.approx(20_000, rel=1e-3)
    assert unchecked(figures) == {Check.TAKE_UP_MASS: Missing.TAKE_UP_TENSION}


@pytest.mark.parametrize(
    ("changed", "missing", "checks"),
    [
        ({"belt": None}, Missing.BELT, {Check.BELT_LENGTH, Check.BELT_WIDTH, Check.TRANSITION}),
        ({"capacity_tph": None}, Missing.CAPACITY, {Check.SLIP, Check.SAG_CARRYING}),
        (
            {"take_up_tension_n": None, "readings": Readings()},
            Missing.TAKE_UP_TENSION,
            {Check.TENSION, Check.SLIP, Check.SAG_CARRYING, Check.SAG_RETURN},
        ),
        ({"readings": Readings()}, Missing.PULLEY_SPEED, {Check.BELT_SPEED}),
        ({"readings": Readings()}, Missing.TAKE_UP_MASS, {Check.TAKE_UP_MASS}),
        ({"loop": None}, Missing.LOOP, {Check.BELT_LENGTH, Check.GAP, Check.TRANSITION}),
    ],
)
def test_what_nobody_registered_is_named_and_not_asked_about(changed, missing, checks):
    figures = figures_of(**changed)

    lacking = {check for check, why in unchecked(figures).items() if why is missing}

    assert checks <= lacking
    assert asked(figures) == []


def test_belt_mass_nobody_registered_leaves_all_tensions_out():
    figures = with_belt(figures_of(), mass_kg_m2=None)

    assert unchecked(figures)[Check.TENSION] is Missing.BELT_MASS
    assert check_register(figures).tensions.empty is None


def test_rolls_of_unknown_diameter_are_named():
    parts = tuple(
        replace(part, diameter_mm=None) if part.name == "R" else part for part in parts_of()
    )

    checked = check_register(figures_of(parts))

    assert [(one.check, one.at) for one in checked.unchecked] == [(Check.ROLL_SPEED, ("R",))]
    assert len(all_compared(checked, Check.ROLL_SPEED)) == 1


def test_a_weight_without_its_pulley_gives_no_tensions():
    figures = figures_of(parts_of(take_up=TakeUpKind.SCREW))

    assert unchecked(figures)[Check.TENSION] is Missing.TAKE_UP_PULLEY


def test_an_empty_register_is_asked_nothing_and_breaks_nothing():
    figures = replace(
        figures_of(), parts=(), loop=None, belt=None, capacity_tph=None, readings=Readings()
    )

    checked = check_register(figures)

    assert checked.asking == ()
    assert {one.check for one in checked.unchecked} >= {Check.BELT_SPEED, Check.ROLL_SPEED}


def test_head_and_tail_alone_break_nothing():
    half = {"diameter_mm": 500.0, "wrap_deg": 180.0}
    parts = (
        Part("HEAD", ComponentKind.HEAD_PULLEY, Run.CARRYING, 20.0, **half),
        Part("TAIL", ComponentKind.TAIL_PULLEY, Run.RETURN, 40.8, **half),
    )
    figures = figures_of(parts, loop=build_loop(parts), take_up_kind=TakeUpKind.SCREW)

    assert unchecked(figures)[Check.SAG_RETURN] is Missing.RETURN_IDLERS
