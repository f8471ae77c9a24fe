"""How far causes are seen, and to which side: closed forms against their own equation."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from diagnostics.inference.duty import duty_of
from diagnostics.inference.family import Looks
from diagnostics.inference.reach import LoopResponse, steering_of
from diagnostics.inference.templates import Templates
from diagnostics.inference.vocabulary import LoadState
from plant.loop.vocabulary import TakeUpKind
from tests.diagnostics.belts import EVERY_KIND, FEEDER, GALLERY, INCLINE, conveyor


def steering(bending=5e5, tension=4e4, grip=5e4, centring=3000.0):
    return steering_of(bending, tension, grip, centring)


def test_answer_to_a_roll_solves_the_belts_equation_across_it():
    bending, tension, grip, centring = 5e5, 4e4, 5e4, 3000.0
    run = steering(bending, tension, grip, centring)
    rates = np.array([*run.rising, -run.settling_per_m, -run.decay_per_m])
    sides = [run.turned[:2], run.turned[2:]]
    before = [np.sum(sides[0] * rates[:2] ** power).real for power in range(4)]
    after = [np.sum(sides[1] * rates[2:] ** power).real for power in range(4)]

    # Offset, slope and bending pass through; the shear jumps by the side force of the roll.
    assert after[0] == pytest.approx(before[0], rel=1e-6)
    assert after[1] == pytest.approx(before[1], abs=1e-6 * abs(after[0]))
    assert after[2] == pytest.approx(before[2], rel=1e-6)
    assert bending * (after[3] - before[3]) == pytest.approx(grip, rel=1e-6)


def test_before_a_pulley_the_heading_is_as_given_and_the_belt_not_bent():
    run = steering()
    step = 1e-4
    at, near, far = (float(run.before_heading(np.array([one]))[0]) for one in (0, step, 2 * step))

    assert (at - near) / step == pytest.approx(1.0, rel=1e-3)
    assert abs(at - 2 * near + far) / step**2 < 1e-2
    assert at == pytest.approx(run.upstream_m)


def test_before_a_thicker_pulley_the_belt_is_bent_and_keeps_its_heading():
    run = steering()
    step = 1e-3
    at, near, far = (float(run.before_bend(np.array([one]))[0]) for one in (0, step, 2 * step))

    assert at > 0  # to the larger end
    assert abs(at - near) / step < 1e-2
    assert (at - 2 * near + far) / step**2 == pytest.approx(-1.0, rel=1e-2)


@pytest.mark.parametrize("load", list(LoadState))
@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_reaches_lie_where_belts_have_them(layout, load):
    response = LoopResponse(conveyor(layout), load)

    # Upstream 1 to 20 m, back to the middle over 6 to 60 m on the carrying run.
    assert 0.5 < response.carrying.upstream_m < 20
    assert 6 < 1 / response.carrying.decay_per_m < 60
    assert 1 < response.returning.upstream_m < 25


def test_nothing_is_seen_upstream_past_a_pulley():
    facts = conveyor(GALLERY)
    response = LoopResponse(facts, LoadState.LOADED)
    first_return_idler = facts.loop.station_named("R1-1").position_m
    seen = np.array([facts.loop.head_m - 1.0, first_return_idler - 0.5])

    at_head, just_before = response.to_heading(seen, np.array([first_return_idler]))[:, 0]

    assert abs(at_head) < 0.02 * abs(just_before)


def test_an_offset_is_handed_downstream_through_the_head():
    facts = conveyor(GALLERY)
    response = LoopResponse(facts, LoadState.LOADED)
    last_carrying = np.array([facts.loop.head_m - 2.0])

    answer = response.to_heading(np.array([facts.loop.head_m + 6.0]), last_carrying)

    assert answer[0, 0] > 0.3 * response.to_heading(last_carrying, last_carrying)[0, 0]


def test_self_aligning_idlers_bring_the_belt_back_sooner():
    plain, aligned = (
        LoopResponse(conveyor(layout), LoadState.EMPTY) for layout in (GALLERY, INCLINE)
    )
    way = np.array([30.0])

    left = [
        float(one.downstream(one.loop.head_m + 5 + way, one.loop.head_m + 5 + 0 * way)[0, 0])
        for one in (plain, aligned)
    ]

    assert left[1] < left[0]


def test_an_empty_belt_is_lighter_slacker_and_less_centred():
    facts = conveyor(INCLINE)
    loaded, empty = duty_of(facts, LoadState.LOADED), duty_of(facts, LoadState.EMPTY)

    assert empty.load_kg_m == 0 < loaded.load_kg_m
    assert empty.carrying_tension_n < loaded.carrying_tension_n
    assert empty.trough_n_m2() < loaded.trough_n_m2()
    assert loaded.trough_of_load_n_m2() == pytest.approx(loaded.trough_n_m2() - empty.trough_n_m2())


def test_a_belt_nothing_is_known_of_gets_usual_figures():
    facts = conveyor(
        FEEDER,
        take_up_tension_kn=None,
        capacity_tph=None,
        take_up_kind=TakeUpKind.SCREW,
    )

    duty = duty_of(facts, LoadState.LOADED)

    assert duty.tension_n > 0
    assert duty.load_kg_m > 0
    assert duty.bending_nm2 > 0


def test_a_flat_belt_on_flat_rolls_is_never_brought_back_yet_stays_finite():
    facts = conveyor(FEEDER, trough_angle_deg=0.0)
    response = LoopResponse(facts, LoadState.LOADED)
    place = np.array([20.0])

    assert math.isfinite(response.to_heading(place, place)[0, 0])


# US Army TM 5-3895-374-24-2, pages 620-621, and TM 5-3820-233-12: directions for rolls and loads.
STEERING = json.loads(
    (Path(__file__).parents[1] / "published/data/steering_cases.json").read_text()
)


def influence_at(templates: Templates, name: str, component: str) -> float:
    """Offset where the family acts, per unit of its amplitude."""
    for family in templates.families():
        if family.name == name and component in family.components:
            return float(family.influence_mm[0, family.components.index(component)])
    raise LookupError(name)


EFFECTS = {
    "troughing idler": ("idlers carrying", "C1-60"),
    "flat return roll": ("idlers return", "R1-10"),
    "head pulley": ("skew HEAD", "HEAD"),
    "tail pulley": ("skew TAIL", "TAIL"),
    "bend pulley": ("skew BEND1", "BEND1"),
}


@pytest.mark.parametrize(
    "case",
    [one for one in STEERING["cases"] if one["component"] in EFFECTS and "a_mm" in one["given"]],
    ids=lambda one: one["id"],
)
def test_army_manual_a_roll_drives_the_belt_to_the_end_it_touches_first(case):
    name, component = EFFECTS[case["component"]]
    facts = conveyor(GALLERY)
    seen_m = facts.loop.station_named(component).position_m
    templates = Templates(
        facts,
        {LoadState.LOADED: LoopResponse(facts, LoadState.LOADED)},
        Looks(np.array([seen_m]), (LoadState.LOADED,)),
    )
    # The families' amplitude is the heading imposed: minus the lead of the right end.
    heading = -case["given"]["a_mm"]

    effect = influence_at(templates, name, component) * heading

    assert np.sign(effect) == case["expect_sign_dy"]


@pytest.mark.parametrize(
    "case",
    [one for one in STEERING["cases"] if one["kind"] == "effect of load"],
    ids=lambda one: one["id"],
)
def test_army_manual_a_load_off_centre_drives_the_belt_to_the_lighter_edge(case):
    facts = conveyor(GALLERY)
    templates = Templates(
        facts,
        {LoadState.LOADED: LoopResponse(facts, LoadState.LOADED)},
        Looks(np.array([40.0]), (LoadState.LOADED,)),
    )
    # The family's amplitude is the load's offset to the left.
    off_left_mm = -case["given"]["c_mm"]

    effect = influence_at(templates, "loading", "LOAD") * off_left_mm

    assert np.sign(effect) == case["expect_sign_dy"]


def test_a_load_off_centre_does_nothing_to_an_empty_belt():
    facts = conveyor(GALLERY)
    templates = Templates(
        facts,
        {LoadState.EMPTY: LoopResponse(facts, LoadState.EMPTY)},
        Looks(np.array([40.0]), (LoadState.EMPTY,)),
    )

    assert influence_at(templates, "loading", "LOAD") == 0


@pytest.mark.parametrize("load", list(LoadState))
def test_a_bow_shows_more_on_the_empty_belt(load):
    facts = conveyor(GALLERY)
    effects = {}
    for state in LoadState:
        templates = Templates(
            facts, {state: LoopResponse(facts, state)}, Looks(np.array([130.0]), (state,))
        )
        bows = [one for one in templates.families() if one.name == "bow carrying"]
        place = int(np.argmin(np.abs(bows[2].position_m - 130.0)))
        effects[state] = float(bows[2].influence_mm[0, place])

    assert effects[load] > 0
    assert effects[LoadState.EMPTY] > effects[LoadState.LOADED]
