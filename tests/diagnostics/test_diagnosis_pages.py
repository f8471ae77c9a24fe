"""The page of a diagnosis: cautions first, reasons, corrections, and a person's judgement."""

import html
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Diagnosis, Hypothesis
from diagnostics.services import cases, diagnosing, judging
from plant.roles import Role
from tests.diagnostics import editions
from tests.diagnostics.factories import (
    NOW,
    later,
    look,
    make_case,
    make_conveyor,
    make_hypothesis,
    make_person,
    make_plant,
    walk_with_trouble_on_return,
)
from tests.plant.factories import signed_in
from workorders.models import WorkOrder

pytestmark = pytest.mark.django_db


@pytest.fixture
def walk_down(plant):
    return walk_with_trouble_on_return(make_case(make_conveyor(plant)))


@pytest.fixture
def diagnosis(walk_down):
    return diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=1))


def address(diagnosis):
    return reverse("diagnosis", args=[diagnosis.case.number, diagnosis.pk])


def act(name, hypothesis):
    return reverse(f"hypothesis-{name}", args=[hypothesis.case.number, hypothesis.pk])


def test_page_shows_cautions_first_then_the_suspicions_with_reasons(technician, diagnosis):
    page = technician.get(address(diagnosis)).content.decode()

    assert page.index('class="caution"') < page.index('class="suspects"')
    assert "A person confirms the cause." in page
    assert "First off centre" in page
    assert "R9" in page
    assert "Speaks for it" in page
    assert "If it is the cause, first" in page
    assert "drives the belt to the right (shed side)" in page
    assert "What to look at next" in page


def test_page_multiplies_the_figure_of_a_suspicion_out(technician, diagnosis):
    first = diagnosis.hypotheses.first()

    page = technician.get(address(diagnosis)).content.decode()

    assert "How this figure comes about" in page
    assert "Before anything was seen" in page
    assert all(line["says"] in html.unescape(page) for line in first.detail["sum"]["lines"])


def test_page_says_what_todays_base_rates_would_move(technician, diagnosis):
    before = technician.get(address(diagnosis)).content.decode()
    for _number in range(12):
        other = make_case(diagnosis.case.conveyor)
        Case.objects.filter(pk=other.pk).update(cause="crooked_splice", cause_class="belt_splice")

    page = technician.get(address(diagnosis)).content.decode()

    assert "By today's rules" not in before
    assert "By today's rules" in page
    assert "it would be" in page


def test_page_of_a_diagnosis_from_before_likelihoods_were_kept_still_shows(technician, diagnosis):
    Diagnosis.objects.filter(pk=diagnosis.pk).update(likelihoods={})
    for one in diagnosis.hypotheses.all():
        one.detail.pop("sum")
        one.save()

    page = technician.get(address(diagnosis)).content.decode()

    assert "Speaks for it" in page
    assert "How this figure comes about" not in page


def test_probability_is_a_number_beside_its_bar(technician, diagnosis):
    first = diagnosis.hypotheses.first()

    page = technician.get(address(diagnosis)).content.decode()

    assert f"{round(first.probability * 100)}\N{NO-BREAK SPACE}%" in page
    assert f'width="{100 * first.probability:.1f}"' in page


def test_older_diagnosis_reads_as_it_was_and_takes_no_judgement(technician, walk_down, diagnosis):
    look(walk_down, "R18", 115.0, degree=None, offset_mm=-80.0, now=later(hours=2))
    newer = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=3))

    old = technician.get(address(diagnosis)).content.decode()
    new = technician.get(address(newer)).content.decode()

    assert "This is how it was" in old
    assert "Yes, this is the cause" not in old
    assert "Yes, this is the cause" in new
    assert address(diagnosis) in new


def test_what_moved_since_the_last_diagnosis_is_told(technician, walk_down, diagnosis):
    changed = diagnosis.answer
    changed["pattern"], changed["onset"] = "travelling", None
    Diagnosis.objects.filter(pk=diagnosis.pk).update(answer=changed)
    newer = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=3))

    page = technician.get(address(newer)).content.decode()

    assert "pattern: travelling, now fixed" in page
    assert "now R9" in page


def test_diagnosis_without_evidence_says_what_is_missing(technician, plant):
    made = diagnosing.diagnose_case(case_id=make_case(make_conveyor(plant)).pk, now=NOW)

    page = technician.get(address(made)).content.decode()

    assert "does not support an answer yet" in page
    assert "Walk the belt from the tail" in page


def test_accepting_copies_the_cause_and_proposes_its_work(technician, diagnosis):
    first = diagnosis.hypotheses.first()

    response = technician.post(act("accept", first), {"why": "the bearing is dead"})

    assert response["Location"] == reverse("case", args=[diagnosis.case.number])
    case = Case.objects.get(pk=diagnosis.case_id)
    assert (case.state, case.cause) == (CaseState.CAUSE_FOUND, first.cause)
    order = WorkOrder.objects.get(hypothesis=first)
    assert order.number in technician.get(response["Location"]).content.decode()


def test_second_acceptance_is_refused_on_the_page_and_what_was_typed_kept(technician, diagnosis):
    first = diagnosis.hypotheses.first()
    judging.accept_hypothesis(
        hypothesis_id=first.pk, case_id=first.case_id, by=None, now=later(hours=2)
    )
    twin = make_hypothesis(
        first.case, diagnosis=diagnosis, cause=first.cause, component=first.component, rank=11
    )

    response = technician.post(act("accept", twin), {"why": "saw it too"})

    page = response.content.decode()
    assert response.status_code == HTTPStatus.CONFLICT
    assert "accepted already" in page
    assert "saw it too" in page
    assert WorkOrder.objects.count() == 1


def test_reason_that_is_too_long_is_refused(technician, diagnosis):
    response = technician.post(act("accept", diagnosis.hypotheses.first()), {"why": "x" * 401})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert not WorkOrder.objects.exists()


def test_refuting_asks_for_a_reason_and_keeps_it(technician, diagnosis):
    first = diagnosis.hypotheses.first()

    asked = technician.get(act("refute", first))
    refused = technician.post(act("refute", first), {"why": " "})
    technician.post(act("refute", first), {"why": "square within 1 mm"})

    assert asked.status_code == HTTPStatus.OK
    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert diagnosis.case.findings.get().note == "square within 1 mm"


def test_acceptance_is_taken_back_with_its_order(technician, diagnosis):
    first = diagnosis.hypotheses.first()
    technician.post(act("accept", first))
    case_page = technician.get(reverse("case", args=[first.case.number])).content.decode()

    technician.post(act("take-back", first), {"why": "the bearing was sound"})

    assert act("take-back", first) in case_page
    first.refresh_from_db()
    assert first.accepted_at is None
    assert WorkOrder.objects.get().state == "cancelled"


def test_cause_of_a_case_that_ended_is_not_accepted(technician, diagnosis):
    cases.move_case(
        case_id=diagnosis.case_id, to_state=CaseState.CANCELLED, by=None, now=NOW, why="mistyped"
    )

    response = technician.post(act("accept", diagnosis.hypotheses.first()))

    assert response.status_code == HTTPStatus.CONFLICT
    assert not WorkOrder.objects.exists()


def test_cause_is_named_by_hand_at_a_station(technician, walk_down):
    number = walk_down.case.number

    technician.post(
        reverse("cause-name", args=[number]), {"cause": "return_roll_seized", "place": "r12"}
    )

    hypothesis = Hypothesis.objects.get()
    assert (hypothesis.component, hypothesis.position_m) == ("R12", 97.0)
    assert hypothesis.zone == "return run before the take-up"
    assert hypothesis.accepted_at is not None


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"cause": "gremlins", "place": ""}, "Select a valid choice"),
        ({"cause": "", "place": ""}, "This field is required"),
        ({"cause": "return_roll_seized", "place": "RR12"}, "Near it: R12"),
        ({"cause": "return_roll_seized", "place": "by the moon"}, "No station of this belt"),
    ],
)
def test_cause_that_cannot_be_named_is_refused_and_kept_on_the_page(
    technician, walk_down, typed, says
):
    response = technician.post(
        reverse("cause-name", args=[walk_down.case.number]), {**typed, "why": "looked twice"}
    )

    page = response.content.decode()
    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert says in page
    assert "looked twice" in page
    assert not Hypothesis.objects.exists()


@pytest.mark.parametrize("name", ["accept", "refute", "take-back"])
@pytest.mark.parametrize("role", [Role.CLERK, Role.PLANNER])
def test_who_may_not_confirm_reads_but_does_not_judge(plant, diagnosis, name, role):
    client = signed_in(make_person(role, plant))

    page = client.get(address(diagnosis))
    response = client.post(act(name, diagnosis.hypotheses.first()), {"why": "x"})

    assert page.status_code == HTTPStatus.OK
    assert "Yes, this is the cause" not in page.content.decode()
    assert response.status_code == HTTPStatus.FORBIDDEN


def test_diagnosis_of_another_plant_or_case_is_not_there(technician, plant, diagnosis):
    stranger = signed_in(make_person(Role.LEAD, make_plant()))
    other = make_case(make_conveyor(plant))

    assert stranger.get(address(diagnosis)).status_code == HTTPStatus.NOT_FOUND
    misplaced = reverse("diagnosis", args=[other.number, diagnosis.pk])
    assert technician.get(misplaced).status_code == HTTPStatus.NOT_FOUND
    assert stranger.post(act("accept", diagnosis.hypotheses.first())).status_code == 404


def test_stranger_is_sent_to_sign_in(diagnosis):
    assert Client().get(address(diagnosis))["Location"].startswith(reverse("sign-in"))


def test_page_needs_a_fixed_number_of_queries(technician, diagnosis, django_assert_max_num_queries):
    with django_assert_max_num_queries(22):
        technician.get(address(diagnosis))


def test_page_says_by_which_edition_it_was_made_and_compares_with_todays(
    technician, plant, diagnosis
):
    by_files = technician.get(address(diagnosis)).content.decode()
    edition = editions.publish_change(plant, "row-return", says="Other words, same weights.")
    made = diagnosing.diagnose_case(case_id=diagnosis.case_id, now=later(hours=2))

    old = technician.get(address(diagnosis)).content.decode()
    new = technician.get(address(made)).content.decode()

    comparison = reverse("edition-compare", args=[edition.pk]) + "?with=installed"
    assert "is in force; this was made by another" not in by_files
    assert "Today edition 1 of the knowledge is in force" in old
    assert comparison in old
    assert "It would move no family of causes by more than a twentieth." in old
    assert edition.version_text in new
    assert reverse("edition", args=[edition.pk]) in new
    assert comparison not in new
