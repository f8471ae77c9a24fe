"""Which stations to look at next: what a look would tell, how looks add up, how far they are."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate, stats

from diagnostics.inference import diagnosis
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import Evidence
from diagnostics.inference.next_look.best import (
    APART_M,
    LOOK_MIN,
    PLACE_SHARE,
    WALK_M_PER_MIN,
    _State,
)
from diagnostics.inference.next_look.checks import Situation, best_looks, next_checks
from diagnostics.inference.next_look.predicted import (
    Predictions,
    Suspect,
    drawn_suspects,
    predict,
)
from diagnostics.inference.readings import Looks
from diagnostics.inference.vocabulary import CauseClass, LoadState
from diagnostics.inference.weighing import Weigher
from plant.loop.vocabulary import Run
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, GALLERY, conveyor, evidence, walk
from tests.diagnostics.modelled import Fault, walk_with

TAIL, CARRYING = CauseClass.TAIL_PULLEY, CauseClass.CARRYING


@pytest.fixture
def situation_of(monkeypatch):
    """The situation that a diagnosis weighs its next checks against."""

    def ask(one: Evidence) -> Situation:
        found: list[Situation] = []

        def note(situation: Situation):
            found.append(situation)
            return next_checks(situation)

        monkeypatch.setattr(diagnosis, "next_checks", note)
        diagnose(one, belts.knowledge())
        return found[0]

    return ask


SKEWED_TAIL = Fault("skew TAIL", 0.0, 0.4)


def few(facts, fault=SKEWED_TAIL, about=6):
    return evidence(facts, walk_with(facts, fault, about=45)[:: 45 // about])


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_looks_are_unread_stations_of_the_loop_and_differ(layout, situation_of):
    facts = conveyor(layout)
    asked = few(facts)

    looks = best_looks(situation_of(asked), 5)

    read = {one.station for one in asked.sightings}
    assert len(looks) >= 3
    assert len({one.station.name for one in looks}) == len(looks)
    assert all(facts.loop.station_named(one.station.name) for one in looks)
    assert not read & {one.station.name for one in looks}
    assert all(one.information > 0 for one in looks)
    assert all(one.load is LoadState.LOADED for one in looks)


def test_the_second_look_is_no_neighbour_that_would_tell_the_same(situation_of):
    facts = conveyor(GALLERY)

    first, second, third = best_looks(situation_of(few(facts)), 3)

    for one, other in ((first, second), (first, third), (second, third)):
        assert facts.loop.apart_m(one.station.position_m, other.station.position_m) > APART_M


def test_a_look_takes_the_way_there_and_the_look(situation_of):
    facts = conveyor(GALLERY)
    situation = situation_of(few(facts))
    at_m = 120.0

    looks = best_looks(situation, 1, from_m=at_m)

    station = looks[0].station
    ground_m = station.position_m
    if station.run is Run.RETURN:
        span_m = facts.loop.length_m - facts.loop.head_m
        ground_m = facts.loop.head_m * (facts.loop.length_m - station.position_m) / span_m
    expected = LOOK_MIN + abs(ground_m - at_m) / WALK_M_PER_MIN
    assert looks[0].minutes == pytest.approx(expected, abs=1e-6)


def test_where_a_person_stands_decides_between_looks_that_tell_as_much(situation_of):
    facts = conveyor(belts.OVERLAND)
    situation = situation_of(evidence(facts, ()))

    near_tail = best_looks(situation, 1, from_m=0.0)[0]
    near_head = best_looks(situation, 1, from_m=facts.loop.head_m)[0]

    assert near_tail.station.position_m != near_head.station.position_m
    assert near_tail.minutes < 10
    assert near_head.minutes < 10


def test_the_other_load_state_can_be_asked_for(situation_of):
    facts = conveyor(GALLERY)

    looks = best_looks(situation_of(few(facts)), 2, load=LoadState.EMPTY)

    assert looks
    assert all(one.load is LoadState.EMPTY for one in looks)


def test_a_look_says_which_two_it_would_tell_apart():
    facts = conveyor(GALLERY)
    answer = diagnose(few(facts), belts.knowledge())

    looks = [one for one in answer.next_checks if one.what.startswith("Look where")]

    assert looks
    assert all(": it would tell " in one.what and " from " in one.what for one in looks)


def test_mirrored_sightings_ask_for_the_same_looks(situation_of):
    facts = conveyor(GALLERY)
    seen = few(facts)

    looks = best_looks(situation_of(seen), 4)
    mirrored = best_looks(situation_of(replace(seen, sightings=belts.mirrored(seen.sightings))), 4)

    assert [one.station.name for one in mirrored] == [one.station.name for one in looks]
    assert [one.information for one in mirrored] == pytest.approx(
        [one.information for one in looks], rel=1e-6
    )


def test_drawn_suspects_stand_for_the_probability_of_their_classes(situation_of):
    facts = conveyor(GALLERY)
    situation = situation_of(evidence(facts, walk(facts, 130)[::4]))

    drawn = drawn_suspects(situation.standings, 200)

    assert sum(one.weight for one in drawn) == pytest.approx(1)
    for name, share in situation.shares.items():
        weight = sum(one.weight for one in drawn if one.cause_class is name)
        assert weight == pytest.approx(share, abs=0.011)


def two_suspects(apart_mm: float, classes=(TAIL, CARRYING)) -> Predictions:
    """Two even suspicions that differ by so much at one look, of spread 20 mm."""
    suspects = tuple(Suspect(name, (0, 0), False, 0.5) for name in classes)
    return Predictions(
        suspects,
        mean_mm=np.array([[0.0, apart_mm]]),
        shape_mm=np.zeros((1, 2)),
        amplitude_var=np.ones(2),
        cover_mm2=np.array([[400.0]]),
        extra_mm2=np.zeros(2),
        remarked=np.array([0.06, 0.06]),
    )


def told(predicted: Predictions) -> np.ndarray:
    return _State(predicted, predicted.suspects).told()


# Mutual information of two equally likely unit normals, integrated over the reading, as outside
# value: Kolchinsky and Tracey (2017) prove the pairwise sum to be a lower bound of it.
@pytest.mark.parametrize("apart_mm", [5.0, 20.0, 40.0, 80.0])
def test_information_bounds_the_integral_from_below_and_not_by_much(apart_mm):
    def integrand(reading: float) -> float:
        densities = stats.norm.pdf(reading, [0.0, apart_mm], 20.0)
        mixture = densities.mean()
        return float(np.mean([p * np.log2(p / mixture) for p in densities if p > 0]))

    exact = integrate.quad(integrand, -200, 300, points=[0.0, apart_mm], limit=200)[0]

    bits = told(two_suspects(apart_mm))[0]

    assert 0.4 * exact <= bits <= exact + 1e-9
    assert bits <= 1


def test_places_of_one_class_count_in_part_only():
    between = told(two_suspects(60.0))[0]
    within = told(two_suspects(60.0, classes=(TAIL, TAIL)))[0]

    assert within == pytest.approx(PLACE_SHARE * between)


def test_a_look_that_was_chosen_leaves_little_to_its_twin():
    suspects = two_suspects(60.0).suspects
    twins = replace(
        two_suspects(60.0),
        mean_mm=np.array([[0.0, 60.0]] * 3),
        shape_mm=np.zeros((3, 2)),
        # The first two stand side by side, the third far away.
        cover_mm2=np.array([[400.0, 380.0, 0.0], [380.0, 400.0, 0.0], [0.0, 0.0, 400.0]]),
    )
    state = _State(twins, suspects)
    state.told()

    state.take(0)
    state.keep([1, 2])
    beside, far = state.told()

    assert beside < 0.2 * far


def test_predicted_readings_are_the_conditional_normal_of_the_whole_model():
    """Reference: conditioning of a joint normal, written out with scipy."""
    facts = conveyor(GALLERY)
    seen = few(facts, Fault("idlers carrying", 60.0, 2.0))
    weigher = Weigher(seen, None)
    suspect = Suspect(CARRYING, (0, 20), False, 1.0)
    looks = Looks(np.array([40.0, 70.0, 300.0]), (LoadState.LOADED,) * 3)

    found = predict(facts, weigher.profile, (suspect,), looks)

    joint = predict(facts, _blind(weigher), (suspect,), _together(weigher, looks))
    every = (
        joint.cover_mm2
        + np.outer(joint.shape_mm[:, 0], joint.shape_mm[:, 0]) * (joint.amplitude_var[0])
    )
    taken = len(weigher.readings.offset_mm)
    gain = np.linalg.solve(every[:taken, :taken], every[:taken, taken:]).T
    mean = gain @ weigher.readings.offset_mm
    cover = every[taken:, taken:] - gain @ every[:taken, taken:]
    assert found.mean_mm[:, 0] == pytest.approx(mean, abs=1e-6)
    shape = found.shape_mm[:, 0]
    assert found.cover_mm2 + np.outer(shape, shape) * found.amplitude_var[0] == pytest.approx(
        cover, abs=1e-5
    )


def _blind(weigher: Weigher):
    """The same conveyor with nothing read."""
    return Weigher(evidence(weigher.evidence.conveyor), None).profile


def _together(weigher: Weigher, looks: Looks) -> Looks:
    taken = weigher.readings.looks
    return Looks(np.concatenate([taken.position_m, looks.position_m]), taken.load + looks.load)
