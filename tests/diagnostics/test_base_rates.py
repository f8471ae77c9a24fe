"""Base rates from counts: what cases move, what refuted causes move, and what they must not."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.inference.base_rates import (
    PriorWeights,
    learned_priors,
    plant_rates,
    start_shares,
)
from diagnostics.inference.case_counts import CaseCounts, PlantCounts
from diagnostics.inference.priors import Priors, log_priors
from diagnostics.inference.vocabulary import CauseClass
from tests.diagnostics import belts

SPLICE, DAMAGE, CAMBER = "crooked_splice", "one_sided_belt_damage", "belt_camber"
TAKE_UP = "take_up_carriage_skewed"
NONE = CaseCounts()


def shares(counts: CaseCounts, own: CaseCounts = NONE, **weights: float) -> dict[str, float]:
    """Probability of each cause before the evidence."""
    knowledge = belts.knowledge()
    learned = learned_priors(counts, own, knowledge, PriorWeights(**weights))
    logs = log_priors(knowledge.causes.values(), learned)
    return {slug: math.exp(log) for slug, log in logs.items()}


def by_class(found: dict[str, float]) -> dict[CauseClass, float]:
    known, summed = belts.knowledge().causes, dict[CauseClass, float]()
    for slug, share in found.items():
        name = known[slug].cause_class
        summed[name] = summed.get(name, 0.0) + share
    return summed


def test_confirmed_causes_of_the_plant_raise_their_class_and_of_the_conveyor_more():
    cases, knowledge = CaseCounts({TAKE_UP: 5}), belts.knowledge()

    by_plant = learned_priors(cases, NONE, knowledge).classes[CauseClass.TAKE_UP]
    by_own = learned_priors(cases, cases, knowledge).classes[CauseClass.TAKE_UP]

    assert 1 < by_plant < by_own


def test_base_rates_are_the_posterior_mean_of_the_dirichlet():
    learned = by_class(shares(CaseCounts({SPLICE: 6})))

    # 30 cases at the start and 6 of the class: (30 m + 6) / 36; the others 30 m / 36.
    for name, share in start_shares(belts.knowledge()).items():
        counted = 6 if name is CauseClass.BELT_SPLICE else 0
        assert learned[name] == pytest.approx((30 * share + counted) / 36)


def test_a_conveyors_own_cases_pull_the_plants_rates_in_a_second_step():
    learned = by_class(shares(CaseCounts({SPLICE: 6}), CaseCounts({SPLICE: 2}), plant_cases=10))

    start = start_shares(belts.knowledge())[CauseClass.BELT_SPLICE]
    assert learned[CauseClass.BELT_SPLICE] == pytest.approx((10 * (30 * start + 6) / 36 + 2) / 12)


def test_the_more_the_start_weighs_the_less_cases_move():
    moved = [
        by_class(shares(CaseCounts({SPLICE: 6}), start_cases=weight))[CauseClass.BELT_SPLICE]
        for weight in (5, 30, 200)
    ]

    assert moved == sorted(moved, reverse=True)


def test_within_a_class_the_confirmed_cause_gains_on_the_others():
    before, after = shares(NONE), shares(CaseCounts({DAMAGE: 8}))

    assert after[DAMAGE] / after[CAMBER] > before[DAMAGE] / before[CAMBER]


def test_without_cases_that_the_catalogue_knows_nothing_is_learned():
    for counts in (NONE, CaseCounts({"no_such_cause": 4}), CaseCounts({}, {frozenset("x"): 3})):
        assert learned_priors(counts, NONE, belts.knowledge()) == Priors()


def test_a_case_without_a_cause_speaks_for_what_was_not_refuted_there():
    unnamed = CaseCounts({SPLICE: 3}, {frozenset({TAKE_UP}): 5})

    before, after = shares(CaseCounts({SPLICE: 3})), shares(unnamed)

    assert after[TAKE_UP] < before[TAKE_UP]
    assert all(after[slug] > before[slug] for slug in (SPLICE, DAMAGE))
    # Within the take-up the others gain on the one that was ruled out.
    known = belts.knowledge().causes
    others = {slug for slug in known if known[slug].cause_class is CauseClass.TAKE_UP} - {TAKE_UP}
    assert others
    assert all(after[one] / after[TAKE_UP] > before[one] / before[TAKE_UP] for one in others)


# Worked by hand: two classes at 0.5 each, worth 2 cases; 1 confirmed A gives A 2/3, B 1/3. One
# case refuted B's only cause: its whole count goes to A: (1 + 2) / (2 + 2) = 0.75.
def test_the_count_of_a_case_without_a_cause_is_shared_as_worked_by_hand():
    known = belts.knowledge()
    two = replace(known, causes={slug: known.causes[slug] for slug in (SPLICE, DAMAGE)}, rules=())
    counts = CaseCounts({SPLICE: 1}, {frozenset({DAMAGE}): 1})

    rates = plant_rates(counts, two, PriorWeights(start_cases=2))

    assert rates.mean[CauseClass.BELT_SPLICE] == pytest.approx(0.75)
    assert sum(rates.counted.values()) == pytest.approx(2)


def test_a_case_in_which_everything_was_refuted_teaches_nothing():
    everything = frozenset(belts.knowledge().causes)

    assert shares(CaseCounts({SPLICE: 2}, {everything: 9})) == shares(CaseCounts({SPLICE: 2}))


_SLUGS = sorted(belts.knowledge().causes)
_COUNTS = st.builds(
    CaseCounts,
    st.dictionaries(st.sampled_from(_SLUGS), st.integers(0, 50), max_size=8),
    st.dictionaries(
        st.frozensets(st.sampled_from(_SLUGS), min_size=1, max_size=4),
        st.integers(1, 5),
        max_size=3,
    ),
)


@settings(deadline=None, max_examples=60)
@given(_COUNTS, st.sampled_from(_SLUGS))
def test_base_rates_sum_to_one_rule_nothing_out_and_rise_with_their_own_cases(counts, slug):
    more = CaseCounts({**counts.confirmed, slug: counts.confirmed.get(slug, 0) + 1}, counts.unnamed)

    before, after = shares(counts), shares(more)

    assert sum(before.values()) == pytest.approx(1)
    assert min(before.values()) > 0
    assert after[slug] > before[slug]


def test_a_case_that_was_not_counted_cannot_be_left_out():
    counts = PlantCounts.of([(1, SPLICE, 2), (2, SPLICE, 1)])

    assert counts.without(SPLICE, 1)[0].confirmed[SPLICE] == 2
    assert counts.without(SPLICE, 1)[1].confirmed[SPLICE] == 1
    with pytest.raises(ValueError, match="no confirmed case of crooked_splice"):
        counts.without(SPLICE, 3)


@pytest.mark.parametrize("weight", [0, -1, math.inf, math.nan])
def test_weights_of_what_was_known_before_are_finite_and_above_nothing(weight):
    with pytest.raises(ValueError, match="plant_cases must be above 0"):
        PriorWeights(plant_cases=weight)
