"""Reasons in words: what speaks for and against, the strongest first."""

import math
import re

import pytest

from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import FindingFact
from diagnostics.inference.feature_words import Remark
from diagnostics.inference.vocabulary import CauseClass, LoadState
from plant.loop.vocabulary import Side
from tests.diagnostics import belts
from tests.diagnostics.belts import GALLERY, INCLINE, conveyor, evidence, walk
from tests.diagnostics.test_trade_table import sentence_of, timed


def answer_to(one):
    return diagnose(one, belts.knowledge())


def entry_of(answer, cause):
    return next(one for one in answer.ranked if one.cause == cause)


def weight_of(reason):
    """The words of a reason's weight, and its factor."""
    said, factor = re.fullmatch(r".* This (.*) it \(× (.*)\)\.", reason, re.DOTALL).groups()
    return said, {"over a million": 2e6, "under a millionth": 5e-7}.get(factor) or float(factor)


def test_every_reason_ends_with_its_weight_in_words_and_as_a_factor():
    facts = conveyor(GALLERY)

    answer = answer_to(evidence(facts, walk(facts, 130)))

    for one in answer.ranked:
        for reason in one.reasons[:-1]:
            said, factor = weight_of(reason)
            assert said.endswith((" for", " about"))
            assert factor >= 1
        for reason in one.against:
            said, factor = weight_of(reason)
            assert said.endswith((" against", " about"))
            assert factor <= 1


def test_the_factors_of_every_suspicion_multiply_to_its_probability():
    facts = conveyor(INCLINE)
    found = FindingFact("head_pulley_skewed", False, component="HEAD")
    seen = evidence(
        facts,
        walk(facts, 90),
        timed_looks=(timed(facts, Side.LEFT, 60.0),),
        findings=(found,),
        remarks=frozenset({Remark.SPILLAGE}),
    )

    answer = answer_to(seen)

    assert len(answer.ranked) > 20
    for one in answer.ranked:
        odds = one.sum.start_odds * math.prod(line.factor for line in one.sum.lines)
        assert odds / (1 + odds) == pytest.approx(one.probability, rel=1e-9, abs=1e-300)


def test_the_sum_in_words_can_be_checked_by_hand():
    facts = conveyor(INCLINE)

    first = answer_to(evidence(facts, walk(facts, 90))).ranked[0]

    start, factors, made, percent = re.fullmatch(
        r"The sum: odds of (.*?) before anything was seen, (.*), make (.*), which is (.*) %\.",
        first.reasons[-1],
    ).groups()
    product = odds_in(start) * math.prod(float(one) for one in re.findall(r"× ([0-9.]+)", factors))
    assert product == pytest.approx(odds_in(made), rel=0.1)
    assert 100 * product / (1 + product) == pytest.approx(float(percent), abs=3)


def odds_in(words):
    over, under = words.split(" to ")
    return float(over) / float(under)


def test_a_finding_counts_thirtyfold_whatever_else_is_suspected():
    facts = conveyor(INCLINE)
    seen = walk(facts, 184)
    yes = FindingFact("head_pulley_skewed", True, component="HEAD")

    without = entry_of(answer_to(evidence(facts, seen)), yes.cause).probability
    with_it = entry_of(answer_to(evidence(facts, seen, findings=(yes,))), yes.cause).probability

    assert with_it / (1 - with_it) == pytest.approx(30 * without / (1 - without), rel=1e-6)


def test_reasons_stand_in_the_order_of_their_weight():
    facts = conveyor(INCLINE)
    order = ["strongly", "clearly", "slightly", "little"]

    answer = answer_to(evidence(facts, walk(facts, 90), remarks=frozenset({Remark.SPILLAGE})))

    for one in answer.ranked:
        ranks = [
            order.index(reason.rsplit("This ", 1)[1].split()[1])
            if "speaks" in reason.rsplit("This ", 1)[1]
            else 3
            for reason in one.reasons[:-1]
        ]
        assert ranks == sorted(ranks)


def test_what_was_seen_speaks_for_the_place_where_it_fits():
    facts = conveyor(GALLERY)

    first = answer_to(evidence(facts, walk(facts, 130))).ranked[0]

    assert any("looks like a belt driven off to the right at about" in one for one in first.reasons)


def test_a_rule_against_stands_against():
    facts = conveyor(GALLERY)
    both = walk(facts, 130, loads=(LoadState.LOADED, LoadState.EMPTY))

    loading = entry_of(answer_to(evidence(facts, both)), "off_centre_loading")

    assert any(sentence_of("both-states-not-loading") in one for one in loading.against)


def test_a_timed_look_speaks_for_the_belt_and_against_the_rest():
    facts = conveyor(INCLINE)
    look = timed(facts, Side.LEFT, 60.0)

    answer = answer_to(evidence(facts, walk(facts, 90), timed_looks=(look,)))

    belt = next(one for one in answer.ranked if one.cause_class is CauseClass.BELT_SECTION)
    idlers = entry_of(answer, "carrying_idlers_skewed")
    assert any("turns of the belt" in one and "60 m ahead" in one for one in belt.reasons)
    assert any("turns of the belt" in one for one in idlers.against)


def test_a_timed_look_speaks_for_the_splice_that_came_with_it():
    facts = conveyor(INCLINE)
    look = timed(facts, Side.LEFT, 0.0)

    answer = answer_to(evidence(facts, walk(facts, 90), timed_looks=(look,)))

    here = next(one for one in answer.ranked if one.component == "S1")
    assert any("turns of the belt" in one for one in here.reasons)


def test_a_timed_look_speaks_less_for_a_splice_that_was_elsewhere_than_for_the_place():
    facts = conveyor(INCLINE)
    look = timed(facts, Side.LEFT, 60.0)

    answer = answer_to(evidence(facts, walk(facts, 90), timed_looks=(look,)))

    def timed_factor(cause_class: CauseClass) -> float:
        entry = next(one for one in answer.ranked if one.cause_class is cause_class)
        return next(one.factor for one in entry.sum.lines if "turns of the belt" in one.says)

    assert timed_factor(CauseClass.BELT_SECTION) > 10 * timed_factor(CauseClass.BELT_SPLICE)


def test_findings_are_named_with_their_component():
    facts = conveyor(INCLINE)
    yes = FindingFact("head_pulley_skewed", True, component="HEAD")
    no = FindingFact("tail_pulley_skewed", False)

    answer = answer_to(evidence(facts, walk(facts, 184), findings=(yes, no)))

    found, absent = (entry_of(answer, one.cause) for one in (yes, no))
    assert (
        "A close inspection at HEAD found it. This speaks strongly for it (× 30)." in found.reasons
    )
    assert any("did not find it. This speaks strongly against" in one for one in absent.against)
