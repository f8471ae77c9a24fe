"""A draft tried on confirmed cases: exact, honest about the case itself, stoppable."""

from dataclasses import replace

import pytest

from diagnostics.inference.base_rates import PriorWeights, learned_priors
from diagnostics.inference.causes import Knowledge, Rule, Speaks
from diagnostics.inference.many_cases import ConfirmedCase, ManyCases
from diagnostics.inference.posterior import Likelihoods, cause_probabilities, matching_rules
from diagnostics.inference.trial import try_knowledge
from diagnostics.inference.vocabulary import CauseClass
from tests.diagnostics import belts
from tests.diagnostics.confirmed_cases import counts_of, drawn_cases

SPLICE, DAMAGE, CAMBER = "crooked_splice", "one_sided_belt_damage", "belt_camber"
WET = frozenset({"wet"})


def three_causes(*rules: Rule) -> Knowledge:
    known = belts.knowledge()
    causes = {slug: known.causes[slug] for slug in (SPLICE, DAMAGE, CAMBER)}
    return replace(known, causes=causes, rules=rules)


def wet_speaks_for(cause: str, ratio: float) -> Rule:
    return Rule("wet", "", {"remarks": WET}, (Speaks(cause, ratio),), "", 1)


def a_case(key: int, truth: str, **logs: float) -> ConfirmedCase:
    return ConfirmedCase(key, Likelihoods(logs, {"remarks": WET}), (truth,), conveyor=1)


def tried(cases, before, after, **how):
    return try_knowledge(cases, counts=counts_of(cases), before=before, after=after, **how)


@pytest.mark.parametrize("weights", [PriorWeights(), PriorWeights(3.0, 40.0, 1.5)])
def test_many_at_once_are_the_same_as_one_by_one_without_the_case_itself(weights):
    knowledge = belts.knowledge()
    cases = drawn_cases(knowledge, 60)
    unnamed = [(2, frozenset({SPLICE, DAMAGE}), 2), (0, frozenset({CAMBER}), 1)]
    many = ManyCases(knowledge, counts_of(cases, unnamed), weights)

    found = many.posterior(cases)

    for row, one in enumerate(cases):
        others = counts_of([other for other in cases if other is not one], unnamed)
        priors = learned_priors(others.plant, others.own(one.conveyor), knowledge, weights)
        alone = cause_probabilities(one.likelihoods, knowledge, priors)
        together = dict(zip(many.causes, found.causes[row], strict=True))
        assert {slug: share for slug, share in together.items() if share} == pytest.approx(
            alone, rel=1e-9, abs=1e-15
        )
        held = [rule for rule, holds in zip(knowledge.rules, found.held[row], strict=True) if holds]
        assert tuple(held) == matching_rules(knowledge, one.likelihoods.features)


def test_a_rule_that_turns_a_case_shows_it_as_flipped_and_the_others_not():
    cases = [
        a_case(1, SPLICE, **{SPLICE: 0.0, DAMAGE: 1.0}),
        a_case(2, DAMAGE, **{SPLICE: 0.0, DAMAGE: 1.0}),
        a_case(3, SPLICE, **{SPLICE: 3.0, DAMAGE: 0.0}),
    ]

    found = tried(cases, three_causes(), three_causes(wet_speaks_for(SPLICE, 8.0)))

    assert [one.key for one in found.now_first] == [1]
    assert [one.key for one in found.no_longer_first] == [2]
    assert found.flips[0].before.classes[0][0] is CauseClass.BELT_SECTION
    assert found.flips[0].after.classes[0][0] is CauseClass.BELT_SPLICE
    assert found.before.classes.first.hits == 2
    assert found.after.classes.first.hits == 2
    # With two classes the truth is always among the first three.
    assert found.now_among == found.no_longer_among == ()


def test_trying_what_is_in_force_changes_nothing():
    knowledge = belts.knowledge()

    found = tried(drawn_cases(knowledge, 120), knowledge, knowledge)

    assert found.flips == ()
    assert found.before == found.after
    assert found.is_whole


def test_a_rule_for_the_truth_betters_every_score():
    knowledge = three_causes()
    cases = [a_case(key, SPLICE, **{SPLICE: 0.0, DAMAGE: key / 10}) for key in range(20)]

    found = tried(cases, knowledge, three_causes(wet_speaks_for(SPLICE, 4.0)))

    assert found.after.log_score > found.before.log_score
    assert found.after.brier < found.before.brier
    assert found.after.classes.first.share >= found.before.classes.first.share


def test_a_cause_the_draft_no_longer_knows_is_a_miss_there():
    cases = [a_case(1, SPLICE, **{SPLICE: 5.0, DAMAGE: 0.0})]
    without = replace(three_causes(), causes={DAMAGE: belts.knowledge().causes[DAMAGE]})

    found = tried(cases, three_causes(), without)

    assert [one.key for one in found.no_longer_first] == [1]
    assert found.after.impossible == 1
    assert found.after.brier == pytest.approx(2)
    assert found.after.log_score is None


def test_a_case_of_none_of_the_known_causes_breaks_nothing():
    cases = [a_case(1, SPLICE, **{"long_gone": 0.0}), a_case(2, SPLICE)]

    found = tried(cases, three_causes(), three_causes())

    assert found.before.classes.first.hits == 0
    assert found.before.impossible == 2


def test_of_two_accepted_causes_it_is_enough_that_one_is_named():
    likelihoods = Likelihoods({SPLICE: 0.0, DAMAGE: 4.0}, {})
    one = ConfirmedCase(1, likelihoods, (SPLICE, DAMAGE), conveyor=1)

    found = tried([one], three_causes(), three_causes())

    assert found.before.classes.first.hits == 1
    assert found.before.causes.first.hits == 1


def test_a_trial_tells_how_far_it_is_and_stops_when_asked():
    knowledge, heard = three_causes(), []
    cases = [a_case(key, SPLICE, **{SPLICE: 0.0, DAMAGE: 1.0}) for key in range(600)]

    def stop_soon(done: int) -> bool:
        heard.append(done)
        return len(heard) < 2

    found = tried(cases, knowledge, knowledge, tick=stop_soon)

    assert heard == [250, 500]
    assert found.cases == found.before.cases == 500
    assert not found.is_whole


def test_without_a_case_there_is_nothing_to_say():
    found = tried([], three_causes(), three_causes())

    assert found.before is None
    assert found.cases == 0
    assert found.is_whole


def test_a_case_confirmed_a_moment_after_the_counting_is_judged_by_all_that_were_counted():
    knowledge = three_causes()
    counted = [a_case(key, DAMAGE, **{SPLICE: 0.0, DAMAGE: 0.0}) for key in range(3)]
    late = a_case(9, SPLICE, **{SPLICE: 0.0, DAMAGE: 0.0})
    counts = counts_of(counted)

    found = ManyCases(knowledge, counts).posterior([late])

    priors = learned_priors(counts.plant, counts.own(1), knowledge)
    alone = cause_probabilities(late.likelihoods, knowledge, priors)
    assert found.causes[0] == pytest.approx([alone.get(slug, 0.0) for slug in knowledge.causes])
