"""How base rates came about, as the page tells it, agrees with the base rates that are used."""

import math

import pytest

from diagnostics.inference.base_rates import PriorWeights, learned_priors
from diagnostics.inference.case_counts import CaseCounts
from diagnostics.inference.learning import lessons_of
from diagnostics.inference.priors import log_priors
from tests.diagnostics import belts

SPLICE, TAKE_UP, CAMBER = "crooked_splice", "take_up_carriage_skewed", "belt_camber"
PLANT = CaseCounts({SPLICE: 7, TAKE_UP: 4, "long_gone": 3}, {frozenset({CAMBER, TAKE_UP}): 3})
OWN = CaseCounts({SPLICE: 2}, {frozenset({CAMBER, TAKE_UP}): 1})
WEIGHTS = PriorWeights(20, 6, 4)


@pytest.mark.parametrize("own", [None, OWN])
def test_means_shown_are_the_base_rates_a_diagnosis_gets(own):
    knowledge = belts.knowledge()
    used = log_priors(
        knowledge.causes.values(), learned_priors(PLANT, own or CaseCounts(), knowledge, WEIGHTS)
    )

    lessons = lessons_of(PLANT, own, knowledge, WEIGHTS)

    shown = {slug: one.overall(slug) for one in lessons for slug in one.causes}
    assert shown == pytest.approx({slug: math.exp(log) for slug, log in used.items()})


def test_cases_shown_are_the_cases_there_are():
    lessons = lessons_of(PLANT, OWN, belts.knowledge(), WEIGHTS)

    # A cause the catalogue no longer knows stands nowhere.
    assert sum(one.at_plant.confirmed for one in lessons) == 11
    assert sum(one.here.confirmed for one in lessons) == 2
    assert sum(one.at_plant.shared for one in lessons) == pytest.approx(3, abs=0.01)


def test_one_more_case_moves_the_mean_to_what_was_told():
    knowledge = belts.knowledge()
    lessons = {one.cause_class: one for one in lessons_of(PLANT, OWN, knowledge, WEIGHTS)}
    splice = knowledge.causes[SPLICE].cause_class
    more = CaseCounts({**PLANT.confirmed, SPLICE: 8})
    without_unnamed = lessons_of(CaseCounts(PLANT.confirmed), None, knowledge, WEIGHTS)

    after = {one.cause_class: one for one in lessons_of(more, None, knowledge, WEIGHTS)}

    told = {one.cause_class: one for one in without_unnamed}[splice].at_plant.one_more
    assert after[splice].at_plant.mean == pytest.approx(told)
    assert lessons[splice].here.one_more > lessons[splice].here.mean


def test_intervals_hold_the_mean_and_narrow_with_cases():
    knowledge = belts.knowledge()
    few = lessons_of(CaseCounts({SPLICE: 1}), None, knowledge, WEIGHTS)
    many = lessons_of(CaseCounts({SPLICE: 100}), None, knowledge, WEIGHTS)

    for before, after in zip(few, many, strict=True):
        for one in (before.at_plant, after.at_plant, *after.causes.values()):
            assert 0 <= one.lower <= one.mean <= one.upper <= 1
        if after.at_plant.confirmed:
            continue
        assert after.at_plant.upper - after.at_plant.lower < (
            before.at_plant.upper - before.at_plant.lower
        )
