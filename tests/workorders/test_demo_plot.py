"""Plot, words and sight of the invented history, without a database."""

from collections import Counter
from datetime import date, timedelta
from itertools import chain, pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from diagnostics.inference.vocabulary import CauseClass, Degree, LoadState, Persistence
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import Side
from workorders.services.demo_history import plot
from workorders.services.demo_history.course import lay_course
from workorders.services.demo_history.eyes import Eye, Going
from workorders.services.demo_history.files import read
from workorders.services.demo_history.response import TrueCause, offset_mm
from workorders.services.demo_history.talk import Talk, heard, spoken_name

LOADED = Going(LoadState.LOADED)
TODAY = date(2026, 11, 25)
TAGS = frozenset(
    one["tag"]
    for name in ("potash.yaml", "quay.yaml", "grain.yaml")
    for one in read(name)["conveyors"]
)


def _plans(seed: int = 1, today: date = TODAY) -> list[plot.CasePlan]:
    calendar = plot.Calendar(TAGS, today, ZoneInfo("America/Halifax"))
    return plot.plan_cases(read("troubles.yaml"), calendar, np.random.default_rng(seed))


def _loop(tag: str) -> Loop:
    for name in ("potash.yaml", "quay.yaml", "grain.yaml"):
        for one in read(name)["conveyors"]:
            if one["tag"] == tag:
                return build_loop(lay_course(one["course"]))
    raise LookupError(tag)


def _true(position_m: float, cause_class: CauseClass, only: LoadState | None = None) -> TrueCause:
    return TrueCause("some_cause", cause_class, position_m, Side.LEFT, 80.0, only)


def test_same_seed_and_day_tell_the_same_history():
    assert _plans() == _plans()


def test_another_seed_tells_another_history():
    assert _plans(seed=1) != _plans(seed=2)


def test_history_reaches_back_eighteen_months_and_not_into_the_day_itself():
    moments = [plan.reported_at for plan in _plans()]

    assert moments == sorted(moments)
    assert min(moments).date() > TODAY - timedelta(days=plot.HISTORY_DAYS + 1)
    assert min(moments).date() < TODAY - timedelta(days=500)
    assert max(moments).date() < TODAY


@pytest.mark.parametrize("seed", range(5))
def test_there_are_enough_cases_and_the_same_trouble_comes_back(seed):
    plans = _plans(seed)
    causes = Counter((plan.tag, plan.trouble.cause) for plan in plans)

    assert 60 <= len(plans) <= 120
    assert max(causes.values()) >= 5
    assert all(plan.comes_back for plan in plans if plan.stands is plot.Stands.FAILED)


@pytest.mark.parametrize("seed", range(5))
def test_drawn_cases_keep_their_distance_on_one_belt(seed):
    ended = [plan for plan in _plans(seed) if plan.stands is None and plan.tag == "P22"]

    for one, other in pairwise(ended):
        assert other.reported_at - one.reported_at >= timedelta(days=plot.APART_DAYS - 1)


def test_every_way_a_case_can_stand_is_told():
    stands = {plan.stands for plan in _plans()}

    assert stands == {None, *plot.Stands}


def test_cause_shows_a_little_before_its_place_and_fades_after_it():
    loop = _loop("Q30")
    true = _true(200.0, CauseClass.CARRYING)

    seen = [
        offset_mm(loop, true, at_m, LoadState.LOADED, has_vee_return=False)
        for at_m in (150.0, 196.0, 200.0, 216.0, 300.0)
    ]

    assert seen[0] == pytest.approx(0, abs=1)
    assert seen[1] == pytest.approx(-80 / np.e, abs=0.1)
    assert seen[2] == -80
    assert seen[3] == pytest.approx(-80 / np.e, abs=0.1)
    assert abs(seen[4]) < 1


def test_cause_on_the_return_run_is_handed_on_over_the_seam():
    loop = _loop("Q30")
    true = _true(loop.tail_m - 5, CauseClass.RETURN_IDLER)

    behind_tail = offset_mm(loop, true, 2.0, LoadState.EMPTY, has_vee_return=False)
    far_on = offset_mm(loop, true, 120.0, LoadState.EMPTY, has_vee_return=False)

    assert -80 < behind_tail < -60
    assert abs(far_on) < 1


def test_off_centre_material_shows_loaded_only_and_builds_up():
    loop = _loop("Q30")
    true = _true(3.0, CauseClass.LOADING, only=LoadState.LOADED)

    at = {
        (place, load): offset_mm(loop, true, place, load, has_vee_return=False)
        for place in (3.0, 40.0)
        for load in LoadState
    }

    assert at[40.0, LoadState.EMPTY] == 0
    assert abs(at[3.0, LoadState.LOADED]) < 2
    assert at[40.0, LoadState.LOADED] < -75


def test_measured_and_estimated_readings_agree_with_what_is_there():
    station = _loop("Q30").stations[40]
    rng = np.random.default_rng(3)
    with_rule, by_eye = (Eye(120.0, 240.0, measures) for measures in (True, False))

    measured = [
        with_rule.look(station, LOADED, 70.0, rng, travels=False).offset_mm for _ in range(200)
    ]
    guessed = Counter(
        by_eye.look(station, LOADED, 70.0, rng, travels=False).degree for _ in range(200)
    )

    assert np.mean(measured) == pytest.approx(70, abs=4)
    assert guessed.most_common(1)[0][0] is Degree.HALF


def test_belt_that_travels_is_caught_now_and_then_and_called_coming_and_going():
    station = _loop("Q30").stations[40]
    rng = np.random.default_rng(3)
    eye = Eye(120.0, 240.0, measures=False)

    seen = [eye.look(station, LOADED, 90.0, rng, travels=True) for _ in range(300)]
    off = [one for one in seen if one.degree is not Degree.CENTRED]

    assert 50 < len(off) < 200
    coming = sum(one.persistence is Persistence.COMES_AND_GOES for one in off)
    assert coming / len(off) > 0.6


def test_callers_seldom_say_the_same_words():
    talk = Talk(read("words.yaml"))
    rng = np.random.default_rng(11)

    said = [
        talk.complaint(
            rng,
            about=plan.trouble.talk,
            how_bad="rubbing",
            belt="the quay belt",
            side="sea side",
            other="shed side",
            comes_back=plan.comes_back,
        )
        for plan in _plans()
    ]

    assert len(set(said)) >= 0.97 * len(said)
    assert not any("{" in words or "the the" in words for words in said)
    assert all(words[0].isupper() for words in said)


def test_every_phrase_can_be_said():
    bank = read("words.yaml")

    for phrase in chain(bank["again"], bank["openers"], *bank["seen"].values()):
        assert phrase.format(belt="the tunnel", side="wall side", other="walkway side")


@pytest.mark.parametrize("plant", read("plants.yaml")["plants"], ids=lambda plant: plant["code"])
def test_no_plant_is_left_without_words(plant):
    banks = {**read("words.yaml"), "notes": read("notes.yaml"), **read("people.yaml")}

    left = heard(banks, plant.get("unheard", ()))

    lists = [*left["notes"].values(), *left["seen"].values(), *left["consequences"].values()]
    assert all(len(phrases) >= 2 for phrases in [*lists, left["callers"], left["unsure"]])


def test_plant_without_a_ship_does_not_speak_of_one():
    quarry = read("plants.yaml")["plants"][1]

    left = heard(read("words.yaml"), quarry["unheard"])

    assert not any("ship" in phrase.lower() for phrase in left["asides"])
    assert len(left["asides"]) > 10


def test_nicknames_are_spoken_with_their_article():
    names = {spoken_name([name], np.random.default_rng(0)) for name in ("overland", "the mile")}

    assert names == {"the overland", "the mile"}
