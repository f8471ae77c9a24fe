"""The telephone desk: finding the belt, joining, keeping what was typed, putting it right."""

from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Complaint
from diagnostics.services import cases, complaints
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
def plant():
    return make_plant(code="LT")


@pytest.fixture
def belt(plant):
    return make_bare_conveyor(plant, tag="CV-07", name="Quay belt", nicknames=["the long one"])


@pytest.fixture
def clerk(plant):
    return signed_in(make_person(Role.CLERK, plant))


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


def test_belt_is_named_later(clerk, belt, plant):
    complaint = take(None, plant=plant)
    address = reverse("complaint-belt", args=[complaint.pk])

    found = clerk.post(address, {"find": "1", "belt_words": "quay", "belt": ""})
    clerk.post(address, {"belt": belt.pk})

    complaint.refresh_from_db()
    assert "Quay belt" in found.content.decode()
    assert complaint.conveyor == belt
    assert complaint.case is not None


def test_belt_named_later_with_an_open_case_asks_first(clerk, belt, plant):
    complaint = take(None, plant=plant)
    case = take(belt).case
    address = reverse("complaint-belt", args=[complaint.pk])

    refused = clerk.post(address, {"belt": belt.pk})
    clerk.post(address, {"belt": belt.pk, "seen": [case.pk], "join": case.pk})

    complaint.refresh_from_db()
    assert refused.status_code == HTTPStatus.CONFLICT
    assert complaint.case == case


def test_nobody_is_unsure_when_naming_the_belt(clerk, plant):
    complaint = take(None, plant=plant)

    response = clerk.post(reverse("complaint-belt", args=[complaint.pk]), {"belt": "none"})

    assert response.status_code == HTTPStatus.BAD_REQUEST


def test_complaint_moves_to_another_case(clerk, belt, plant):
    complaint = take(belt)
    other = take(make_bare_conveyor(plant)).case
    address = reverse("complaint-move", args=[complaint.pk])

    assert other.number in clerk.get(address).content.decode()
    clerk.post(address, {"case": other.pk})

    complaint.refresh_from_db()
    assert complaint.case == other


def test_complaint_does_not_move_to_a_case_of_another_plant(clerk, belt):
    complaint = take(belt)
    foreign = take(make_bare_conveyor()).case

    response = clerk.post(reverse("complaint-move", args=[complaint.pk]), {"case": foreign.pk})

    assert response.status_code == HTTPStatus.BAD_REQUEST


def test_withdrawing_asks_for_a_reason_and_is_taken_back(clerk, belt):
    complaint = take(belt)
    address = reverse("complaint-withdraw", args=[complaint.pk])

    assert clerk.post(address, {"why": " "}).status_code == HTTPStatus.BAD_REQUEST
    clerk.post(address, {"why": "caller meant the crusher"})
    complaint.refresh_from_db()
    assert complaint.withdrawn_why == "caller meant the crusher"
    assert clerk.post(address, {"why": "again"}).status_code == HTTPStatus.CONFLICT

    clerk.post(reverse("complaint-reinstate", args=[complaint.pk]))

    complaint.refresh_from_db()
    assert complaint.withdrawn_at is None


def test_list_says_what_to_do_first_when_it_is_empty(clerk):
    assert "Nobody has complained yet" in clerk.get(reverse("complaints")).content.decode()


def test_list_is_filtered(clerk, belt, plant):
    take(belt, words="rubs at the head")
    unsure = take(None, plant=plant, words="something squeals")
    gone = take(None, plant=plant, words="a joke call")
    complaints.withdraw_complaint(complaint_id=gone.pk, why="joke", by=None, now=NOW)

    def words(**asked):
        page = clerk.get(reverse("complaints"), asked)
        return {one.words for one in page.context["page"].object_list}

    assert words() == {"rubs at the head", "something squeals", "a joke call"}
    assert words(which="without a belt") == {unsure.words}
    assert words(which="withdrawn") == {gone.words}
    assert words(belt="cv-07") == {"rubs at the head"}
    assert words(words="SQUEALS") == {unsure.words}
    assert words(which="nonsense") == {"rubs at the head", "something squeals", "a joke call"}


def test_list_is_paged_with_a_fixed_number_of_queries(
    clerk, belt, plant, django_assert_max_num_queries
):
    for number in range(30):
        take(None, plant=plant, words=f"call {number}")

    with django_assert_max_num_queries(12):
        page = clerk.get(reverse("complaints"))
    second = clerk.get(reverse("complaints"), {"page": "2"})

    assert len(page.context["page"].object_list) == 25
    assert len(second.context["page"].object_list) == 5


_GET = ["complaint", "complaint-belt", "complaint-move", "complaint-withdraw"]
_PLAIN = ["complaints", "complaint-new", "complaint-belts", "complaint-open-cases"]


@pytest.mark.parametrize("name", [*_PLAIN, *_GET])
def test_stranger_is_sent_to_sign_in(belt, name):
    complaint = take(belt)

    response = Client().get(reverse(name, args=[complaint.pk] if name in _GET else []))

    assert response.status_code == HTTPStatus.FOUND
    assert response["Location"].startswith(reverse("sign-in"))


@pytest.mark.parametrize("name", [*_GET, "complaint-reinstate"])
def test_complaint_of_another_plant_is_not_there(belt, name):
    complaint = take(belt)
    client = signed_in(make_person(Role.ADMINISTRATOR, make_plant()))

    response = client.post(reverse(name, args=[complaint.pk]), {"why": "x", "belt": belt.pk})

    assert response.status_code in (HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED)
    assert client.get(reverse("complaint", args=[complaint.pk])).status_code == 404


@pytest.mark.parametrize("role", Role)
def test_every_role_may_take_and_read_complaints(belt, plant, role):
    complaint = take(belt)
    client = signed_in(make_person(role, plant))

    for name in _PLAIN:
        assert client.get(reverse(name)).status_code == HTTPStatus.OK
    for name in _GET:
        assert client.get(reverse(name, args=[complaint.pk])).status_code == HTTPStatus.OK


def test_person_without_a_role_takes_no_complaint(plant):
    nobody = make_person(Role.CLERK, plant)
    nobody.groups.clear()

    assert signed_in(nobody).get(NEW).status_code == HTTPStatus.FORBIDDEN
