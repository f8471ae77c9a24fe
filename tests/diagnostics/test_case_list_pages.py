"""Lists of cases, Today, and who opens which page of a case."""

from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from diagnostics.services import cases, diagnosing, findings
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    later,
    make_bare_conveyor,
    make_case,
    make_conveyor,
    make_hypothesis,
    make_person,
    make_plant,
    take,
    walk_with_trouble_on_return,
)
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(plant):
    return take(make_conveyor(plant), words="it rubs the frame at the tail").case


def test_list_is_filtered_by_state_belt_and_words(technician, plant, case):
    other = take(make_conveyor(plant, tag="ZZ-9"), words="wanders at night").case
    cases.move_case(case_id=other.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="x")

    def numbers(**asked):
        page = technician.get(reverse("cases"), asked)
        return {one.number for one in page.context["page"].object_list}

    assert numbers() == {case.number}
    assert numbers(state="all") == {case.number, other.number}
    assert numbers(state="cancelled") == {other.number}
    assert numbers(state="all", belt="zz-9") == {other.number}
    assert numbers(state="all", words="wanders") == {other.number}
    assert numbers(words=case.number.lower()) == {case.number}
    assert numbers(state="nonsense") == {case.number}


def test_cases_to_confirm_and_to_look_at_are_apart(technician, plant, case):
    ready = take(make_conveyor(plant)).case
    walk_with_trouble_on_return(ready)
    diagnosing.diagnose_case(case_id=ready.pk, now=later(hours=1))

    def numbers(state):
        page = technician.get(reverse("cases"), {"state": state})
        return {one.number for one in page.context["page"].object_list}

    assert numbers("to be confirmed") == {ready.number}
    assert numbers("to be looked at") == {case.number}


def test_answer_that_a_failed_mend_followed_waits_for_no_confirmation(technician, plant):
    failed = take(make_conveyor(plant)).case
    walk_with_trouble_on_return(failed)
    diagnosing.diagnose_case(case_id=failed.pk, now=later(hours=1))
    Case.objects.filter(pk=failed.pk).update(
        state=CaseState.LOOKED_AT, cause="return_idler_skewed", cause_found_at=later(hours=2)
    )

    def numbers(state):
        page = technician.get(reverse("cases"), {"state": state})
        return {one.number for one in page.context["page"].object_list}

    assert numbers("to be confirmed") == set()
    assert numbers("to be looked at") == {failed.number}


def test_list_is_paged_with_a_fixed_number_of_queries(
    technician, plant, django_assert_max_num_queries
):
    for _ in range(27):
        make_case(make_bare_conveyor(plant))

    with django_assert_max_num_queries(12):
        page = technician.get(reverse("cases"))

    assert len(page.context["page"].object_list) == 25


def test_case_page_needs_a_fixed_number_of_queries(technician, case, django_assert_max_num_queries):
    for _ in range(3):
        walk_with_trouble_on_return(case)
        take(case.conveyor, join_case_id=case.pk)
        findings.record_finding(
            case_id=case.pk, cause="return_roll_seized", is_present=False, by=None, now=NOW
        )
    diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))

    with django_assert_max_num_queries(32):
        technician.get(reverse("case", args=[case.number]))


def test_today_shows_each_role_what_waits_for_it(plant, case):
    ready = take(make_conveyor(plant)).case
    walk_with_trouble_on_return(ready)
    diagnosing.diagnose_case(case_id=ready.pk, now=later(hours=1))
    take(None, plant=plant, words="some belt squeals")

    def today(role):
        return signed_in(make_person(role, plant)).get(reverse("today")).content.decode()

    assert "some belt squeals" in today(Role.CLERK)
    assert reverse("complaint-new") in today(Role.CLERK)
    assert case.number in today(Role.TECHNICIAN)
    assert ready.number in today(Role.LEAD)
    assert "some belt squeals" not in today(Role.PLANNER)


_PAGES = {
    "case": "SEE",
    "case-findings": "WALK_DOWN",
    "walk-down-new": "WALK_DOWN",
    "cause-name": "CONFIRM_CAUSE",
}
_MAY = {
    Role.CLERK: {"SEE"},
    Role.TECHNICIAN: {"SEE", "WALK_DOWN", "CONFIRM_CAUSE"},
    Role.PLANNER: {"SEE"},
    Role.LEAD: {"SEE", "WALK_DOWN", "CONFIRM_CAUSE"},
    Role.ADMINISTRATOR: {"SEE", "WALK_DOWN", "CONFIRM_CAUSE"},
}


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("name", _PAGES)
def test_each_role_opens_the_pages_it_may(plant, case, role, name):
    client = signed_in(make_person(role, plant))

    response = client.get(reverse(name, args=[case.number]))

    expected = HTTPStatus.OK if _PAGES[name] in _MAY[role] else HTTPStatus.FORBIDDEN
    assert response.status_code == expected


@pytest.mark.parametrize("name", [*_PAGES, "case-move"])
def test_stranger_is_sent_to_sign_in(case, name):
    response = Client().get(reverse(name, args=[case.number]))

    assert response.status_code == HTTPStatus.FOUND
    assert response["Location"].startswith(reverse("sign-in"))


@pytest.mark.parametrize("name", [*_PAGES, "case-move", "case-diagnose"])
def test_case_of_another_plant_is_not_there(case, name):
    client = signed_in(make_person(Role.ADMINISTRATOR, make_plant()))

    response = client.post(reverse(name, args=[case.number]), {"to_state": "cancelled"})

    assert response.status_code in (HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED)
    case.refresh_from_db()
    assert case.state == CaseState.OPEN


def test_hypothesis_and_finding_of_another_case_are_not_there(technician, plant, case):
    stranger = make_hypothesis(make_case(make_bare_conveyor(plant)))

    response = technician.post(reverse("hypothesis-accept", args=[case.number, stranger.pk]))

    assert response.status_code == HTTPStatus.NOT_FOUND
