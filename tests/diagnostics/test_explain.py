"""Reasons in words: what speaks for and against, the strongest first."""

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


def test_every_reason_ends_with_its_weight_in_words():
    facts = conveyor(GALLERY)

    answer = answer_to(evidence(facts, walk(facts, 130)))

    for one in answer.ranked:
        assert all(reason.endswith((" for it.", " about it.")) for reason in one.reasons)
        assert all(reason.endswith((" against it.", " about it.")) for reason in one.against)


def test_reasons_stand_in_the_order_of_their_weight():
    facts = conveyor(INCLINE)
    order = ["strongly", "clearly", "slightly", "little"]

    answer = answer_to(evidence(facts, walk(facts, 90), remarks=frozenset({Remark.SPILLAGE})))

    for one in answer.ranked:
        ranks = [
            order.index(reason.rsplit("This ", 1)[1].split()[1])
            if "speaks" in reason.rsplit("This ", 1)[1]
            else 3
            for reason in one.reasons
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


def test_a_timed_look_speaks_against_a_splice_that_was_elsewhere():
    facts = conveyor(INCLINE)
    look = timed(facts, Side.LEFT, 60.0)

    answer = answer_to(evidence(facts, walk(facts, 90), timed_looks=(look,)))

    elsewhere = next(one for one in answer.ranked if one.cause_class is CauseClass.BELT_SPLICE)
    assert any("turns of the belt" in one for one in elsewhere.against)


def test_findings_are_named_with_their_component():
    facts = conveyor(INCLINE)
    yes = FindingFact("head_pulley_skewed", True, component="HEAD")
    no = FindingFact("tail_pulley_skewed", False)

    answer = answer_to(evidence(facts, walk(facts, 184), findings=(yes, no)))

    found, absent = (entry_of(answer, one.cause) for one in (yes, no))
    assert "A close inspection at HEAD found it. This speaks strongly for it." in found.reasons
    assert "A close inspection did not find it. This speaks strongly against it." in absent.against
