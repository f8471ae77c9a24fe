"""Base rates, evidence and rules put together: Bayes' rule, and re-ranking without mechanics."""

import json
import math
from dataclasses import replace

import pytest

from diagnostics.inference import posterior
from diagnostics.inference.causes import Knowledge, Rule, Speaks
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import FindingFact
from diagnostics.inference.posterior import Likelihoods, cause_probabilities
from diagnostics.inference.priors import Priors, log_priors
from diagnostics.inference.two_views import disagreement, notes_on_views
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Side
from tests.diagnostics import belts
from tests.diagnostics.belts import GALLERY, INCLINE, conveyor, evidence, walk
from tests.diagnostics.test_trade_table import timed

SPLICE, DAMAGE, CAMBER = "crooked_splice", "one_sided_belt_damage", "belt_camber"


def two_causes(*rules: Rule) -> Knowledge:
    known = belts.knowledge()
    return replace(known, causes={s: known.causes[s] for s in (SPLICE, DAMAGE)}, rules=rules)


def a_case():
    facts = conveyor(INCLINE)
    found = FindingFact("head_pulley_skewed", False, component="HEAD")
    look = timed(facts, Side.LEFT, 60.0)
    return evidence(facts, walk(facts, 90), timed_looks=(look,), findings=(found,))


# Worked example of every textbook on screening (Gigerenzer & Hoffrage 1995, Psychological Review
# 102, mammography problem, from memory): base rate 1 %, hit rate 80 %, false alarms 9.6 %; of
# those with a positive test 7.8 % have it.
def test_bayes_rule_gives_the_published_answer_of_the_screening_problem():
    likelihoods = Likelihoods({SPLICE: math.log(0.8), DAMAGE: math.log(0.096)}, {})
    priors = Priors(classes={CauseClass.BELT_SPLICE: 0.01, CauseClass.BELT_SECTION: 0.99})

    shares = cause_probabilities(likelihoods, two_causes(), priors)

    assert shares[SPLICE] == pytest.approx(0.078, abs=0.0005)
    assert sum(shares.values()) == pytest.approx(1, abs=1e-12)


def test_a_rule_multiplies_the_odds_by_its_ratio_and_by_less_where_the_profile_knows_it():
    said = Rule("said", "", {"remarks": frozenset({"wet"})}, (Speaks(SPLICE, 6.0),), "", 1)
    seen = Rule("seen", "", {"onset": frozenset({"at the head"})}, (Speaks(SPLICE, 16.0),), "", 1)
    likelihoods = Likelihoods(
        {SPLICE: 0.0, DAMAGE: 0.0},
        {"remarks": frozenset({"wet"}), "onset": frozenset({"at the head"})},
    )

    shares = cause_probabilities(likelihoods, two_causes(said, seen), Priors())

    expected = 6.0 * 16.0**posterior.PROFILE_RULE_POWER
    assert shares[SPLICE] / shares[DAMAGE] == pytest.approx(expected)


def test_classes_are_equal_at_the_start_and_share_by_weight_within():
    known = belts.knowledge().causes
    logs = log_priors([known[SPLICE], known[DAMAGE], known[CAMBER]], Priors())

    assert math.exp(logs[SPLICE]) == pytest.approx(0.5)
    assert math.exp(logs[DAMAGE]) + math.exp(logs[CAMBER]) == pytest.approx(0.5)
    by_weight = known[DAMAGE].weight / known[CAMBER].weight
    assert math.exp(logs[DAMAGE] - logs[CAMBER]) == pytest.approx(by_weight)


def test_what_is_kept_with_an_answer_gives_its_classes_again_without_mechanics():
    one, knowledge = a_case(), belts.knowledge()
    answer = diagnose(one, knowledge)
    kept = json.loads(json.dumps(answer.likelihoods.as_json()))

    shares = cause_probabilities(Likelihoods.from_json(kept), knowledge, one.priors)

    for share in answer.classes:
        again = sum(
            probability
            for slug, probability in shares.items()
            if knowledge.causes[slug].cause_class is share.cause_class
        )
        assert again == pytest.approx(share.probability, abs=1e-12)


def test_changed_rules_and_base_rates_re_rank_as_a_whole_new_diagnosis_would():
    one, knowledge = a_case(), belts.knowledge()
    kept = diagnose(one, knowledge).likelihoods
    fewer = replace(knowledge, rules=knowledge.rules[::2])
    learned = Priors({CauseClass.TAKE_UP: 3.0}, {"head_pulley_skewed": 0.2})

    shares = cause_probabilities(kept, fewer, learned)
    anew = diagnose(replace(one, priors=learned), fewer)

    for share in anew.classes:
        again = sum(
            probability
            for slug, probability in shares.items()
            if fewer.causes[slug].cause_class is share.cause_class
        )
        assert again == pytest.approx(share.probability, abs=1e-12)


def test_the_order_of_the_rules_does_not_matter():
    knowledge = belts.knowledge()
    backwards = replace(knowledge, rules=tuple(reversed(knowledge.rules)))
    kept = diagnose(a_case(), knowledge).likelihoods

    shares = cause_probabilities(kept, knowledge, Priors())
    again = cause_probabilities(kept, backwards, Priors())

    assert shares == pytest.approx(again, abs=1e-12)


def test_mechanics_and_rules_that_contradict_each_other_are_both_named():
    rule = Rule("r", "", {"remarks": frozenset({"wet"})}, (Speaks(SPLICE, 9.0),), "", 1)
    wet = {"remarks": frozenset({"wet"})}
    against = Likelihoods({SPLICE: 0.0, DAMAGE: math.log(50)}, wet)
    agreed = Likelihoods({SPLICE: math.log(50), DAMAGE: 0.0}, wet)

    views = disagreement(against, two_causes(rule), Priors())

    assert views == (CauseClass.BELT_SECTION, CauseClass.BELT_SPLICE)
    assert "belt section first" in " ".join(notes_on_views(views))
    assert disagreement(agreed, two_causes(rule), Priors()) is None


def test_a_clear_walk_down_brings_no_note_of_disagreement():
    facts = conveyor(GALLERY)

    notes = diagnose(evidence(facts, walk(facts, 130)), belts.knowledge()).notes

    assert not any("rules of the trade alone" in one for one in notes)
