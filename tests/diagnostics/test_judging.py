"""A person accepts, refutes, names and takes back causes; the room above listens."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from threading import Barrier

import pytest
from django.db import IntegrityError, connection

from diagnostics import signals
from diagnostics.case_states import CaseState
from diagnostics.models import Case, Hypothesis
from diagnostics.services import cases, findings, judging
from plant.errors import DomainError
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    later,
    make_case,
    make_conveyor,
    make_hypothesis,
    make_person,
)


def accept(hypothesis, **changes):
    given = {
        "hypothesis_id": hypothesis.pk,
        "case_id": hypothesis.case_id,
        "by": None,
        "now": later(hours=1),
    }
    return judging.accept_hypothesis(**{**given, **changes})


@contextmanager
def heard(signal):
    """What a room above hears, in order."""
    said = []

    def listen(**arguments):
        said.append(arguments)

    signal.connect(listen, weak=False)
    try:
        yield said
    finally:
        signal.disconnect(listen)


@pytest.mark.django_db
def test_accepted_cause_is_copied_to_its_case_and_told_upstairs():
    hypothesis = make_hypothesis()
    technician = make_person(Role.TECHNICIAN, hypothesis.case.conveyor.plant)

    with heard(signals.cause_accepted) as said:
        accept(hypothesis, by=technician, why="saw the dead bearing")

    hypothesis.refresh_from_db()
    assert (hypothesis.accepted_at, hypothesis.judged_by) == (later(hours=1), technician)
    assert hypothesis.judged_why == "saw the dead bearing"
    case = Case.objects.get(pk=hypothesis.case_id)
    assert case.state == CaseState.CAUSE_FOUND
    assert (case.cause, case.cause_class) == ("return_idler_skewed", "return_idler")
    assert (case.zone, case.position_m) == ("return run before the take-up", 88.0)
    assert case.cause_found_at == later(hours=1)
    assert case.moves.last().by == technician
    assert [(one["hypothesis"].pk, one["by"], one["now"]) for one in said] == [
        (hypothesis.pk, technician, later(hours=1))
    ]


@pytest.mark.django_db
def test_refusal_from_upstairs_undoes_the_acceptance():
    hypothesis = make_hypothesis()

    class NoRoom(DomainError):
        code = "no_room"

    def refuse(**_said):
        raise NoRoom

    signals.cause_accepted.connect(refuse, weak=False)
    try:
        with pytest.raises(NoRoom):
            accept(hypothesis)
    finally:
        signals.cause_accepted.disconnect(refuse)

    hypothesis.refresh_from_db()
    assert hypothesis.accepted_at is None
    case = Case.objects.get(pk=hypothesis.case_id)
    assert (case.state, case.cause) == (CaseState.OPEN, "")


@pytest.mark.django_db
@pytest.mark.parametrize("judge_first", [accept, lambda one: refute(one)])
def test_cause_is_judged_once(judge_first):
    hypothesis = make_hypothesis()
    judge_first(hypothesis)

    with pytest.raises(judging.AlreadyJudged):
        accept(hypothesis)
    with pytest.raises(judging.AlreadyJudged):
        refute(hypothesis)


@pytest.mark.django_db
def test_same_cause_at_the_same_place_is_not_accepted_from_another_diagnosis():
    hypothesis = make_hypothesis()
    twin = make_hypothesis(hypothesis.case, rank=2)
    accept(hypothesis)

    with pytest.raises(judging.AlreadyJudged):
        accept(twin)


@pytest.mark.django_db
def test_second_cause_at_another_place_may_be_accepted_beside_the_first():
    hypothesis = make_hypothesis()
    other = make_hypothesis(hypothesis.case, rank=2, cause="return_roll_seized", component="R12")
    accept(hypothesis)

    accept(other, now=later(hours=2))

    assert hypothesis.case.hypotheses.filter(accepted_at__isnull=False).count() == 2
    assert Case.objects.get(pk=hypothesis.case_id).cause == "return_roll_seized"


@pytest.mark.django_db
def test_cause_of_another_case_is_refused():
    with pytest.raises(judging.HypothesisMissing):
        accept(make_hypothesis(), case_id=make_case().pk)


@pytest.mark.django_db
@pytest.mark.parametrize("act", ["accept", "refute", "name"])
def test_causes_of_an_ended_case_are_not_judged(act):
    hypothesis = make_hypothesis()
    cases.move_case(
        case_id=hypothesis.case_id, to_state=CaseState.CANCELLED, by=None, now=NOW, why="mistyped"
    )

    with pytest.raises(cases.CaseHasEnded):
        {
            "accept": lambda: accept(hypothesis),
            "refute": lambda: refute(hypothesis),
            "name": lambda: name(hypothesis.case),
        }[act]()


@pytest.mark.django_db
def test_database_itself_refuses_one_cause_accepted_twice():
    hypothesis = make_hypothesis(accepted_at=NOW)

    with pytest.raises(IntegrityError):
        make_hypothesis(hypothesis.case, accepted_at=NOW)


@pytest.mark.django_db(transaction=True)
def test_of_two_people_accepting_together_one_is_refused():
    hypothesis = make_hypothesis()
    barrier = Barrier(2)

    def press(_number):
        try:
            barrier.wait(timeout=20)
            return accept(Hypothesis.objects.get(pk=hypothesis.pk))
        except judging.AlreadyJudged as refusal:
            return refusal
        finally:
            connection.close()

    with heard(signals.cause_accepted) as said, ThreadPoolExecutor(2) as pool:
        outcomes = list(pool.map(press, range(2)))

    assert sum(isinstance(one, judging.AlreadyJudged) for one in outcomes) == 1
    assert len(said) == 1


def refute(hypothesis, **changes):
    given = {
        "hypothesis_id": hypothesis.pk,
        "case_id": hypothesis.case_id,
        "by": None,
        "now": later(hours=1),
        "why": "square within 1 mm",
    }
    return judging.refute_hypothesis(**{**given, **changes})


@pytest.mark.django_db
def test_refuted_cause_is_kept_as_a_finding_that_speaks_against_it():
    hypothesis = make_hypothesis()

    refute(hypothesis)

    hypothesis.refresh_from_db()
    assert hypothesis.refuted_at == later(hours=1)
    finding = hypothesis.case.findings.get()
    assert (finding.cause, finding.place, finding.is_present) == (
        "return_idler_skewed",
        "R9",
        False,
    )
    assert finding.note == "square within 1 mm"
    assert Case.objects.get(pk=hypothesis.case_id).diagnosis_owed_at == later(hours=1)


@pytest.mark.django_db
def test_refuting_asks_for_a_reason():
    hypothesis = make_hypothesis()

    with pytest.raises(judging.ReasonMissing):
        refute(hypothesis, why=" ")

    hypothesis.refresh_from_db()
    assert hypothesis.refuted_at is None


def name(case, **changes):
    given = {"case_id": case.pk, "cause": "tail_pulley_skewed", "by": None, "now": later(hours=1)}
    return judging.name_cause(**{**given, **changes})


@pytest.mark.django_db
def test_cause_named_by_hand_is_accepted_without_a_diagnosis():
    case = make_case()

    with heard(signals.cause_accepted) as said:
        hypothesis = name(case, component="TP", zone="tail", position_m=121.3)

    assert (hypothesis.diagnosis, hypothesis.rank, hypothesis.probability) == (None, None, None)
    assert hypothesis.cause_class == "tail_pulley"
    case.refresh_from_db()
    assert (case.cause, case.state) == ("tail_pulley_skewed", CaseState.CAUSE_FOUND)
    assert len(said) == 1


@pytest.mark.django_db
def test_cause_the_catalogue_does_not_know_cannot_be_named():
    with pytest.raises(findings.UnknownCause):
        name(make_case(), cause="gremlins")

    assert not Hypothesis.objects.exists()


@pytest.mark.django_db
def test_cause_named_a_second_time_is_refused_and_leaves_no_row():
    case = make_case()
    name(case, component="TP")

    with pytest.raises(judging.AlreadyJudged):
        name(case, component="TP")

    assert Hypothesis.objects.count() == 1


def take_back(hypothesis, **changes):
    given = {
        "hypothesis_id": hypothesis.pk,
        "case_id": hypothesis.case_id,
        "by": None,
        "now": later(hours=2),
        "why": "the bearing was sound",
    }
    return judging.take_back_acceptance(**{**given, **changes})


@pytest.mark.django_db
def test_acceptance_taken_back_leaves_the_case_being_looked_at_without_a_cause():
    hypothesis = make_hypothesis()
    accept(hypothesis)

    with heard(signals.cause_taken_back) as said:
        take_back(hypothesis)

    hypothesis.refresh_from_db()
    assert hypothesis.accepted_at is None
    case = Case.objects.get(pk=hypothesis.case_id)
    assert (case.state, case.cause, case.cause_class) == (CaseState.LOOKED_AT, "", "")
    assert (case.zone, case.position_m, case.cause_found_at) == ("", None, None)
    assert [one["why"] for one in said] == ["the bearing was sound"]


@pytest.mark.django_db
def test_cause_taken_back_can_be_accepted_again():
    hypothesis = make_hypothesis()
    accept(hypothesis)
    take_back(hypothesis)

    accept(hypothesis, now=later(hours=3))

    assert Case.objects.get(pk=hypothesis.case_id).cause_found_at == later(hours=3)


@pytest.mark.django_db
def test_of_two_accepted_causes_the_other_stands_when_one_is_taken_back():
    hypothesis = make_hypothesis()
    other = make_hypothesis(hypothesis.case, rank=2, cause="return_roll_seized", component="R12")
    accept(hypothesis)
    accept(other, now=later(hours=1, minutes=30))

    take_back(other)

    case = Case.objects.get(pk=hypothesis.case_id)
    assert (case.state, case.cause) == (CaseState.CAUSE_FOUND, "return_idler_skewed")


@pytest.mark.django_db
def test_taking_back_asks_for_a_reason_and_an_acceptance():
    hypothesis = make_hypothesis()

    with pytest.raises(judging.NotAccepted):
        take_back(hypothesis)
    accept(hypothesis)
    with pytest.raises(judging.ReasonMissing):
        take_back(hypothesis, why="")

    hypothesis.refresh_from_db()
    assert hypothesis.accepted_at is not None


@pytest.mark.django_db
def test_accepting_marks_a_case_that_has_come_back():
    conveyor = make_conveyor()
    first = make_hypothesis(make_case(conveyor))
    accept(first)
    Case.objects.filter(pk=first.case_id).update(proved_at=later(days=3))
    again = make_hypothesis(make_case(conveyor, now=later(days=20)))

    accept(again, now=later(days=21))

    assert Case.objects.get(pk=again.case_id).repeat_of == first.case
