"""Complaints that were taken: the list, naming the belt, moving, withdrawing, who may."""

from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.services import complaints
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
