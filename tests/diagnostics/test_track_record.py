"""Which rules mislead: by the posterior run again without each of them."""

import math
from dataclasses import replace

import pytest

from diagnostics.inference.base_rates import learned_priors
from diagnostics.inference.causes import Rule, Speaks
from diagnostics.inference.posterior import cause_probabilities, matching_rules
from diagnostics.inference.track_record import LEAST_GAIN, LEAST_HELD, track_record
from tests.diagnostics import belts
from tests.diagnostics.confirmed_cases import counts_of, drawn_cases
from tests.diagnostics.test_trial import DAMAGE, SPLICE, WET, a_case, three_causes


def rule(slug: str, cause: str, ratio: float, words: frozenset[str] = WET) -> Rule:
    return Rule(slug, "", {"remarks": words}, (Speaks(cause, ratio),), "", 1)


def record_of(cases, knowledge):
    found = track_record(cases, knowledge=knowledge, counts=counts_of(cases))
    return {one.slug: one for one in found.rules}, found


def test_gain_is_that_of_the_posterior_run_again_without_the_rule():
    knowledge = belts.knowledge()
    cases = drawn_cases(knowledge, 80)
    gains: dict[str, list[float]] = {}
    for one in cases:
        others = counts_of([other for other in cases if other is not one])
        priors = learned_priors(others.plant, others.own(one.conveyor), knowledge)
        with_all = cause_probabilities(one.likelihoods, knowledge, priors)[one.truth[0]]
        for held in matching_rules(knowledge, one.likelihoods.features):
            fewer = replace(knowledge, rules=[two for two in knowledge.rules if two is not held])
            without = cause_probabilities(one.likelihoods, fewer, priors)[one.truth[0]]
            gains.setdefault(held.slug, []).append(math.log(with_all / without))

    records, found = record_of(cases, knowledge)

    assert found.cases == 80
    assert gains
    for slug, its in gains.items():
        assert records[slug].held == len(its)
        assert records[slug].gain == pytest.approx(sum(its) / len(its), abs=1e-9)
        assert records[slug].hurt == sum(one < -LEAST_GAIN for one in its)
    assert all(one.gain is None for slug, one in records.items() if slug not in gains)


def test_a_rule_that_speaks_against_the_truth_misleads_and_stands_first():
    cases = [a_case(key, SPLICE, **{SPLICE: 0.0, DAMAGE: key / 20}) for key in range(LEAST_HELD)]
    knowledge = three_causes(
        rule("good", SPLICE, 4.0), rule("bad", DAMAGE, 4.0), rule("dry", SPLICE, 4.0, frozenset())
    )

    records, found = record_of(cases, knowledge)

    assert [one.slug for one in found.rules] == ["bad", "good", "dry"]
    assert records["bad"].misleads
    assert records["bad"].hurt == LEAST_HELD
    assert records["bad"].upper < 0 < records["good"].lower
    assert not records["good"].misleads
    assert records["dry"].held == 0


def test_few_cases_say_nothing_of_a_rule_however_wrong_it_was():
    cases = [a_case(key, SPLICE, **{SPLICE: 0.0, DAMAGE: 0.0}) for key in range(LEAST_HELD - 1)]
    bad, silent = rule("bad", DAMAGE, 20.0), rule("silent", SPLICE, 2.0, frozenset({"dusty"}))

    records, _found = record_of(cases, three_causes(bad, silent))

    assert records["bad"].gain < 0
    assert not records["bad"].misleads
    assert not records["bad"].is_enough


# Student's t for 95 % and two cases, one degree of freedom: 12.706 (every printed table).
def test_interval_of_the_mean_is_students():
    cases = [a_case(key, SPLICE, **{SPLICE: 0.0, DAMAGE: 3.0 * key}) for key in range(2)]
    one = rule("one", SPLICE, 4.0)
    alone = [record_of([case], three_causes(one)) for case in cases]
    assert all(records["one"].lower is None for records, _found in alone)

    records, _found = record_of(cases, three_causes(one))

    its = records["one"]
    both = counts_of(cases)
    gains = [
        track_record([case], knowledge=three_causes(one), counts=both).rules[0].gain
        for case in cases
    ]
    half_apart = abs(gains[0] - gains[1]) / 2
    assert its.gain == pytest.approx(sum(gains) / 2)
    assert its.upper - its.gain == pytest.approx(12.706 * half_apart, rel=1e-4)


def test_a_case_whose_truth_is_impossible_counts_for_no_rule():
    cases = [a_case(1, SPLICE, **{DAMAGE: 0.0})]

    records, found = record_of(cases, three_causes(rule("one", SPLICE, 4.0)))

    assert found.cases == records["one"].held == 0


def test_counting_stops_when_asked():
    cases = [a_case(key, SPLICE, **{SPLICE: 0.0, DAMAGE: 0.0}) for key in range(600)]

    found = track_record(
        cases,
        knowledge=three_causes(rule("one", SPLICE, 4.0)),
        counts=counts_of(cases),
        tick=lambda done: done < 500,
    )

    assert found.cases == 500
