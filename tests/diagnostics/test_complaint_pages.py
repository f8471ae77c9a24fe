"""The telephone desk: finding the belt, joining, keeping what was typed, putting it right."""

from http import HTTPStatus

import pytest
from django.urls import reverse

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Complaint
from diagnostics.services import cases
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    make_bare_conveyor,
    make_person,
    make_plant,
    take,
)
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db
NEW = "/complaints/new/"


@pytest.fixture
def belt(plant):
    return make_bare_conveyor(plant, tag="CV-07", name="Quay belt", nicknames=["the long one"])


def typed(about, /, **changes):
    given = {
        "belt": str(about.pk) if about else "none",
        "belt_words": "quay",
        "words": "it is rubbing its frame again",
        "how_bad": "rubbing",
        "roughly_where": "head",
        "caller_name": "Bo from the quay",
        "caller_contact": "extension 41",
        "shift": "night",
    }
    return {**given, **changes}


def test_complaint_is_kept_with_everything_the_caller_said(clerk, belt):
    response = clerk.post(NEW, typed(belt))

    complaint = Complaint.objects.get()
    assert response.status_code == HTTPStatus.FOUND
    assert response["Location"] == reverse("case", args=["LT-C-0001"])
    assert (complaint.conveyor, complaint.how_bad) == (belt, "rubbing")
    assert (complaint.roughly_where, complaint.shift) == ("head", "night")
    assert (complaint.caller_name, complaint.caller_contact) == ("Bo from the quay", "extension 41")


@pytest.mark.parametrize("words", ["CV-07", "cv07", "quay", "the long one", "qay belt"])
def test_belt_is_found_while_typing_by_tag_name_or_nickname(clerk, belt, words):
    page = clerk.get(reverse("complaint-belts"), {"belt_words": words}).content.decode()

    assert f'value="{belt.pk}" checked' in page
    assert "No case is open on CV-07" in page


def test_open_case_is_shown_as_soon_as_the_belt_is_chosen(clerk, belt):
    case = take(belt, words="rubs the frame").case
    take(belt, words="squeals at the tail", join_case_id=case.pk)

    page = clerk.get(reverse("complaint-open-cases"), {"belt": belt.pk}).content.decode()

    assert case.number in page
    assert "squeals at the tail" in page
    assert f'name="seen" value="{case.pk}"' in page


def test_belt_of_the_page_it_came_from_is_chosen_already(clerk, belt):
    case = take(belt).case

    page = clerk.get(NEW, {"conveyor": belt.pk}).content.decode()

    assert f'value="{belt.pk}" checked' in page
    assert case.number in page


def test_without_scripts_belts_are_found_by_a_button_and_what_was_typed_stays(clerk, belt):
    page = clerk.post(NEW, typed(None, belt="", find="1")).content.decode()

    assert f'value="{belt.pk}" checked' in page
    assert "it is rubbing its frame again" in page
    assert not Complaint.objects.exists()


def test_repeat_joins_the_case_that_was_chosen(clerk, belt):
    case = take(belt).case

    clerk.post(NEW, typed(belt, seen=[case.pk], join=str(case.pk)))

    assert case.complaints.count() == 2


def test_new_problem_opens_a_case_of_its_own(clerk, belt):
    case = take(belt).case

    clerk.post(NEW, typed(belt, seen=[case.pk], join="new"))

    assert Case.objects.count() == 2


def test_open_case_that_was_seen_asks_for_a_choice(clerk, belt):
    case = take(belt).case

    response = clerk.post(NEW, typed(belt, seen=[case.pk]))

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert "Say whether it is the same problem" in response.content.decode()
    assert Complaint.objects.count() == 1


def test_case_another_clerk_opened_meanwhile_comes_up_and_what_was_typed_is_kept(clerk, belt):
    case = take(belt, words="the other clerk was quicker").case

    response = clerk.post(NEW, typed(belt))

    page = response.content.decode()
    assert response.status_code == HTTPStatus.CONFLICT
    assert f"{case.number} is already open" in page
    assert f'name="seen" value="{case.pk}"' in page
    assert "it is rubbing its frame again" in page
    assert "extension 41" in page
    assert Complaint.objects.count() == 1


def test_case_that_ended_meanwhile_cannot_be_joined_and_what_was_typed_is_kept(clerk, belt):
    case = take(belt).case
    cases.move_case(
        case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="entered twice"
    )

    response = clerk.post(NEW, typed(belt, seen=[case.pk], join=str(case.pk)))

    assert response.status_code == HTTPStatus.CONFLICT
    assert "it is rubbing its frame again" in response.content.decode()
    assert Complaint.objects.count() == 1


def test_complaint_about_nobody_knows_which_belt_waits(clerk, plant):
    response = clerk.post(NEW, typed(None))

    complaint = Complaint.objects.get()
    assert response["Location"] == reverse("complaint", args=[complaint.pk])
    assert (complaint.plant, complaint.conveyor) == (plant, None)


def test_clerk_of_two_plants_says_at_which_one_an_unknown_belt_is(plant):
    other = make_plant()
    client = signed_in(make_person(Role.CLERK, plant, other))

    refused = client.post(NEW, typed(None))
    client.post(NEW, typed(None, plant=other.pk))

    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert "Say at which plant" in refused.content.decode()
    assert Complaint.objects.get().plant == other


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"belt": ""}, "Choose the belt"),
        ({"belt": "987654"}, "Choose the belt"),
        ({"belt": "9" * 40}, "Choose the belt"),
        ({"belt": "x"}, "Choose the belt"),
        ({"words": ""}, "This field is required"),
        ({"words": "x" * 2001}, "at most 2000 characters"),
        ({"how_bad": "awful"}, "Select a valid choice"),
        ({"roughly_where": "the moon"}, "Select a valid choice"),
    ],
)
def test_bad_field_is_named_and_the_others_are_kept(clerk, belt, changes, says):
    response = clerk.post(NEW, typed(belt, **changes))

    page = response.content.decode()
    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert says in page
    assert "extension 41" in page
    assert not Complaint.objects.exists()


@pytest.mark.parametrize("join", ["x", "-1", "9" * 30])
def test_join_that_is_no_case_is_refused(clerk, belt, join):
    response = clerk.post(NEW, typed(belt, join=join))

    assert response.status_code in (HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT)
    assert not Complaint.objects.exists()


def test_belt_of_another_plant_is_not_found_not_shown_and_not_taken(clerk, belt):
    foreign = make_bare_conveyor(make_plant(), tag="CV-07X", name="Quay belt")
    case = take(foreign, words="secret of the other plant").case

    found = clerk.get(reverse("complaint-belts"), {"belt_words": "quay"}).content.decode()
    shown = clerk.get(reverse("complaint-open-cases"), {"belt": foreign.pk}).content.decode()
    taken = clerk.post(NEW, typed(foreign))
    joined = clerk.post(NEW, typed(belt, join=str(case.pk)))

    assert "CV-07X" not in found
    assert "secret" not in shown
    assert taken.status_code == HTTPStatus.BAD_REQUEST
    assert joined.status_code == HTTPStatus.CONFLICT
    assert case.number not in joined.content.decode()
    assert Complaint.objects.count() == 1


def test_belt_that_may_have_come_back_is_told_before_saving(clerk, belt):
    from django.utils import timezone

    case = take(belt, words="the old trouble").case
    Case.objects.filter(pk=case.pk).update(state="closed", proved_at=timezone.now())

    page = clerk.get(reverse("complaint-open-cases"), {"belt": belt.pk}).content.decode()

    assert "Has it come back?" in page
    assert case.number in page


def test_words_of_a_caller_are_shown_as_words(clerk, belt):
    clerk.post(NEW, typed(belt, words="<script>alert(1)</script>"))
    complaint = Complaint.objects.get()

    for address in (reverse("complaint", args=[complaint.pk]), reverse("complaints")):
        page = clerk.get(address).content.decode()
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page
