"""Pages of a case: for each role, what comes next, close looks, ending and opening again."""

from decimal import Decimal
from http import HTTPStatus

import pytest
from django.urls import reverse

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from diagnostics.next_step import Standing, Step, next_step
from diagnostics.services import cases, diagnosing, judging
from plant.loop.vocabulary import Zone
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    later,
    make_bare_conveyor,
    make_case,
    make_conveyor,
    make_person,
    make_walk_down,
    take,
    walk_with_trouble_on_return,
)
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(plant):
    return take(make_conveyor(plant), words="it rubs the frame at the tail").case


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
    assert f'class="button first" href="{reverse("walk-app-case", args=[case.number])}"' in page_of(
        technician, case
    )
    assert "Next: a technician walks the belt." in page_of(clerk, case)


def test_a_mend_that_did_not_hold_leads_to_the_belt_again(technician, case):
    walk_with_trouble_on_return(case)
    diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))
    for days, state in enumerate(
        (CaseState.CAUSE_FOUND, CaseState.MENDED, CaseState.ON_PROOF, CaseState.LOOKED_AT), start=1
    ):
        cases.move_case(case_id=case.pk, to_state=state, by=None, now=later(days=days))

    page = page_of(technician, case)

    assert f'class="button first" href="{reverse("walk-app-case", args=[case.number])}"' in page


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


@pytest.mark.parametrize(
    ("position_m", "words"),
    [(84.0, "at the same place"), (20.0, "the same family of causes at another place")],
)
def test_a_repeat_says_whether_it_came_back_at_the_same_place(plant, technician, position_m, words):
    conveyor = make_conveyor(plant)
    first, again = make_case(conveyor), make_case(conveyor, now=later(days=5))
    for case, at_m in ((first, 85.0), (again, position_m)):
        cases.mark_cause(
            case,
            cause="return_idler_skewed",
            cause_class="return_idler",
            zone=Zone.RETURN_BEFORE,
            position_m=at_m,
            now=later(days=6),
        )
        Case.objects.filter(pk=first.pk).update(proved_at=NOW)

    page = page_of(technician, again)

    assert "It has come back:" in page
    assert words in page


def test_an_accepted_cause_stands_once_among_the_causes(plant, technician):
    case = walk_with_trouble_on_return(make_case(make_conveyor(plant))).case
    made = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))
    first = made.hypotheses.first()
    lead = make_person(Role.LEAD, plant)
    judging.accept_hypothesis(
        hypothesis_id=first.pk, case_id=case.pk, by=lead, now=later(hours=2), why="measured"
    )

    page = page_of(technician, case)

    causes = page[page.index('id="diagnosis-heading"') : page.index('id="loop-heading"')]
    assert causes.count('<span class="state">accepted</span>') == 1


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
    for _pressed_twice in range(2):
        technician.post(reverse("finding-counts", args=[case.number, finding.pk]), {"counts": "no"})
        finding.refresh_from_db()
        assert finding.taken_back_at is not None
    page = page_of(technician, case)
    assert "taken back" in page
    assert '<input type="hidden" name="counts" value="yes">' in page


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


def test_lost_hours_are_noted_changed_and_taken_away(technician, case):
    address = reverse("case-lost-hours", args=[case.number])

    assert technician.post(address, {"lost_hours": "3.5"}).status_code == HTTPStatus.FOUND
    assert "3.50 hours lost" in page_of(technician, case)

    technician.post(address, {"lost_hours": ""})

    case.refresh_from_db()
    assert case.lost_hours is None
    assert "note lost hours" in page_of(technician, case)


def test_lost_hours_are_told_in_money_where_the_register_knows_what_an_hour_costs(technician, case):
    case.conveyor.hour_costs = Decimal(2600)
    case.conveyor.save()

    technician.post(reverse("case-lost-hours", args=[case.number]), {"lost_hours": "3.5"})

    assert "(9,100 at 2,600 an hour)" in page_of(technician, case)


@pytest.mark.parametrize(
    ("state", "lost", "asks"),
    [
        ("being mended", None, False),
        ("on proof", None, True),
        ("closed", None, True),
        ("closed", Decimal(0), False),
        ("not mistracking", None, False),
    ],
)
def test_a_mended_case_asks_for_lost_hours_that_nobody_noted(technician, case, state, lost, asks):
    Case.objects.filter(pk=case.pk).update(state=state, lost_hours=lost)

    assert ("Nobody has said how long the belt stood" in page_of(technician, case)) is asks


@pytest.mark.parametrize("typed", ["-1", "half a day", "1e9", "nan", "2.345"])
def test_lost_hours_that_are_no_hours_are_refused_and_kept_on_the_page(technician, case, typed):
    address = reverse("case-lost-hours", args=[case.number])

    response = technician.post(address, {"lost_hours": typed})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert typed in response.content.decode()
    case.refresh_from_db()
    assert case.lost_hours is None


def test_lost_hours_are_not_for_whoever_may_not_change_the_case(plant, case):
    stranger = signed_in(make_person(Role.TECHNICIAN))

    response = stranger.post(reverse("case-lost-hours", args=[case.number]), {"lost_hours": "2"})

    assert response.status_code == HTTPStatus.NOT_FOUND
