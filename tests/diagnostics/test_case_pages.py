"""Pages of a case: for each role, what comes next, close looks, ending and opening again."""

from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from diagnostics.next_step import Standing, Step, next_step
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
    make_walk_down,
    take,
    walk_with_trouble_on_return,
)
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant():
    return make_plant(code="LT")


@pytest.fixture
def case(plant):
    return take(make_conveyor(plant), words="it rubs the frame at the tail").case


@pytest.fixture
def technician(plant):
    return signed_in(make_person(Role.TECHNICIAN, plant))


@pytest.fixture
def clerk(plant):
    return signed_in(make_person(Role.CLERK, plant))


def page_of(client, case):
    response = client.get(reverse("case", args=[case.number]))
    assert response.status_code == HTTPStatus.OK
    return response.content.decode()


def test_case_page_shows_words_state_log_and_loop(technician, case):
    page = page_of(technician, case)

    assert "it rubs the frame at the tail" in page
    assert case.number in page
    assert '<svg class="loop' in page
    assert "Who did what, when" in page


def test_technician_is_led_to_the_belt_first(technician, clerk, case):
    assert f'class="button first" href="{reverse("walk-down-new", args=[case.number])}"' in page_of(
        technician, case
    )
    assert "Next: a technician walks the belt." in page_of(clerk, case)


def test_after_the_walk_the_diagnosis_comes_next(technician, clerk, case):
    walk_with_trouble_on_return(case)
    made = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))

    address = reverse("diagnosis", args=[case.number, made.pk])
    assert f'class="button first" href="{address}"' in page_of(technician, case)
    assert "confirms the cause" in page_of(clerk, case)


def test_unfinished_walk_down_of_mine_goes_on(plant, case):
    person = make_person(Role.TECHNICIAN, plant)
    walk_down = make_walk_down(case)
    walk_down.walked_by = person
    walk_down.save()

    assert reverse("walk-down", args=[walk_down.pk]) in page_of(signed_in(person), case)


@pytest.mark.parametrize(
    ("standing", "step"),
    [
        ({"state": CaseState.CLOSED}, Step.NOTHING),
        ({"is_walking": True, "has_looks": True}, Step.GO_ON_WALKING),
        ({"state": CaseState.OPEN}, Step.WALK),
        ({"has_looks": True}, Step.LOOK_AGAIN),
        ({"has_looks": True, "has_diagnosis": True}, Step.LOOK_AGAIN),
        ({"has_looks": True, "has_diagnosis": True, "is_sufficient": True}, Step.CONFIRM),
        ({"state": CaseState.CAUSE_FOUND}, Step.WORK),
        ({"state": CaseState.ON_PROOF, "has_looks": True}, Step.WORK),
    ],
)
def test_next_step_follows_from_how_the_case_stands(standing, step):
    given = {
        "state": CaseState.LOOKED_AT,
        "is_walking": False,
        "has_looks": False,
        "has_diagnosis": False,
        "is_sufficient": False,
    }

    assert next_step(Standing(**{**given, **standing})) is step


def test_case_on_an_incomplete_register_says_so_in_words(plant, technician):
    case = take(make_bare_conveyor(plant)).case

    page = page_of(technician, case)

    assert "No diagnosis can be made until the register is complete" in page
    assert "head pulley" in page


def test_repeat_is_told_on_both_cases(plant, technician):
    conveyor = make_conveyor(plant)
    first, again = make_case(conveyor), make_case(conveyor, now=later(days=20))
    Case.objects.filter(pk=again.pk).update(repeat_of=first)

    assert first.number in page_of(technician, again)
    assert again.number in page_of(technician, first)


def test_diagnosis_is_made_at_once_on_asking(technician, case):
    walk_with_trouble_on_return(case)

    response = technician.post(reverse("case-diagnose", args=[case.number]))

    made = case.diagnoses.get()
    assert response["Location"] == reverse("diagnosis", args=[case.number, made.pk])


def test_diagnosis_on_an_incomplete_register_is_refused_on_the_case(plant, technician):
    case = take(make_bare_conveyor(plant)).case

    response = technician.post(reverse("case-diagnose", args=[case.number]), follow=True)

    assert response.redirect_chain[-1][0] == reverse("case", args=[case.number])
    assert "head pulley" in response.content.decode()


@pytest.mark.parametrize("to_state", ["not mistracking", "cancelled"])
def test_case_ends_with_a_reason_and_opens_again(clerk, case, to_state):
    address = reverse("case-move", args=[case.number])

    assert clerk.get(address, {"to_state": to_state}).status_code == HTTPStatus.OK
    refused = clerk.post(address, {"to_state": to_state, "why": " "})
    clerk.post(address, {"to_state": to_state, "why": "a shadow on the frame"})

    assert refused.status_code == HTTPStatus.BAD_REQUEST
    case.refresh_from_db()
    assert case.state == to_state
    assert case.moves.last().why == "a shadow on the frame"

    back = "being looked at" if to_state == "not mistracking" else "open"
    clerk.post(address, {"to_state": back, "why": "it was right after all"})
    case.refresh_from_db()
    assert case.state == back


@pytest.mark.parametrize("to_state", ["closed", "cause found", "being mended", "on proof"])
def test_moves_that_follow_from_work_are_refused_by_hand(clerk, case, to_state):
    response = clerk.post(
        reverse("case-move", args=[case.number]), {"to_state": to_state, "why": "quicker"}
    )

    assert response.status_code == HTTPStatus.CONFLICT
    assert "quicker" in response.content.decode()
    case.refresh_from_db()
    assert case.state == CaseState.OPEN


def test_case_on_proof_is_not_closed_by_hand(clerk, case):
    Case.objects.filter(pk=case.pk).update(state=CaseState.ON_PROOF)

    response = clerk.post(
        reverse("case-move", args=[case.number]), {"to_state": "closed", "why": "looks good"}
    )

    assert response.status_code == HTTPStatus.CONFLICT


def test_state_nobody_knows_is_not_there(clerk, case):
    address = reverse("case-move", args=[case.number])

    assert clerk.get(address, {"to_state": "gone"}).status_code == HTTPStatus.NOT_FOUND
    assert clerk.post(address, {"to_state": "gone"}).status_code == HTTPStatus.NOT_FOUND


def test_check_list_holds_the_suspected_causes_with_cautions_first(technician, case):
    walk_with_trouble_on_return(case)
    diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))

    page = technician.get(reverse("case-findings", args=[case.number])).content.decode()

    assert page.index('class="caution"') < page.index('class="checks"')
    assert page.count("Yes, it is there") >= 3


def test_close_look_is_kept_at_its_component_and_taken_back(technician, case):
    address = reverse("case-findings", args=[case.number])
    looked = {"cause": "return_roll_seized", "found": "no", "place": "R9", "note": "turns"}

    technician.post(address, looked)

    finding = case.findings.get()
    assert (finding.place, finding.is_present, finding.note) == ("R9", False, "turns")
    assert finding.component.name == "R"
    technician.post(reverse("finding-take-back", args=[case.number, finding.pk]))
    finding.refresh_from_db()
    assert finding.taken_back_at is not None
    assert "taken back" in page_of(technician, case)


@pytest.mark.parametrize(
    "changes", [{"cause": "gremlins"}, {"cause": ""}, {"found": "maybe"}, {"found": ""}]
)
def test_close_look_that_says_nothing_is_refused_and_its_note_kept(technician, case, changes):
    looked = {"cause": "return_roll_seized", "found": "no", "place": "R9", "note": "turns freely"}

    response = technician.post(reverse("case-findings", args=[case.number]), {**looked, **changes})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert "turns freely" in response.content.decode()
    assert not case.findings.exists()


def test_close_look_in_an_ended_case_is_refused(technician, case):
    cases.move_case(case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="x")

    response = technician.post(
        reverse("case-findings", args=[case.number]),
        {"cause": "return_roll_seized", "found": "no"},
    )

    assert response.status_code == HTTPStatus.CONFLICT


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
        page_of(technician, case)


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
