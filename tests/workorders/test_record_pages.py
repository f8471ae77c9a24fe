"""Photos and notes of an order on pages: who adds, who changes, who may see."""

from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant, User
from plant.roles import Role
from tests.plant.drawn_pictures import HEIC, a_jpeg, file
from tests.plant.factories import make_plant, signed_in
from tests.workorders import factories
from tests.workorders.booked_rows import keep_photo, make_note
from tests.workorders.pages import address, client_of
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


@pytest.fixture
def work(plant: Plant) -> WorkOrder:
    return factories.make_order_by_hand(factories.make_conveyor(plant))


@pytest.fixture
def hand(plant: Plant) -> User:
    return factories.make_person(Role.TECHNICIAN, plant)


def sent(*files: Any, **typed: Any) -> dict[str, Any]:
    return {"photos": list(files or [file()]), "moment": "before", "caption": "", **typed}


def test_a_technician_adds_photos_with_the_camera_and_the_page_shows_them(
    work: WorkOrder, hand: User
) -> None:
    client = signed_in(hand)
    form = client.get(address("order-photos", work)).content.decode()

    answer = client.post(address("order-photos", work), sent(caption="bent frame"))

    assert 'capture="environment"' in form
    assert answer["Location"] == address("order-photos", work)
    photo = work.photos.get()
    assert photo.sent_by == hand
    for page in (address("order-photos", work), address("order", work)):
        text = client.get(page).content.decode()
        assert address("order-photo-small", work, photo.pk) in text
        assert "bent frame" in text
        assert "Before the work" in text


@pytest.mark.parametrize(
    ("state", "moment"),
    [("approved", "before"), ("in_hand", "during"), ("done", "after"), ("proved", "after")],
)
def test_the_form_begins_with_the_moment_the_work_has_come_to(
    technician: Client, work: WorkOrder, state: str, moment: str
) -> None:
    factories.bring_to(work, OrderState(state))

    page = technician.get(address("order-photos", work))

    assert page.context["form"].initial["moment"] == moment


@pytest.mark.parametrize(
    ("files", "typed", "field"),
    [
        ([], {"photos": []}, "chosen"),
        ([file(HEIC, "a.heic")], {}, "chosen"),
        ([file(b"hello", "a.jpg")], {}, "chosen"),
        ([file() for _one in range(9)], {}, "photos"),
        ([file()], {"moment": "later"}, "moment"),
        ([file()], {"caption": "x" * 201}, "caption"),
    ],
)
def test_wrong_photos_are_refused_at_their_field(
    technician: Client, work: WorkOrder, files: list[Any], typed: dict[str, Any], field: str
) -> None:
    answer = technician.post(address("order-photos", work), {**sent(*files), **typed})

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert field in answer.context["form"].errors
    assert not work.photos.exists()


def test_a_photo_is_handed_out_to_the_plant_and_nobody_else(plant: Plant, work: WorkOrder) -> None:
    photo = keep_photo(work)
    clerk = client_of(Role.CLERK, plant)
    stranger = client_of(Role.ADMINISTRATOR, make_plant())
    other = factories.make_order_by_hand(work.conveyor)

    for name in ("order-photo", "order-photo-small"):
        answer = clerk.get(address(name, work, photo.pk))
        assert answer["Content-Type"] == "image/jpeg"
        assert "private" in answer["Cache-Control"]
        assert stranger.get(address(name, work, photo.pk)).status_code == HTTPStatus.NOT_FOUND
        # A photo is not to be had under the number of another order.
        assert clerk.get(address(name, other, photo.pk)).status_code == HTTPStatus.NOT_FOUND
        assert Client().get(address(name, work, photo.pk)).status_code == HTTPStatus.FOUND


def test_ones_own_photo_is_taken_back_by_oneself_others_by_planners(
    planner: Client, work: WorkOrder, hand: User
) -> None:
    own, others = keep_photo(work, by=hand), keep_photo(work, a_jpeg(80, 40))
    mine = signed_in(hand)

    assert mine.post(address("order-photo-stands", work, own.pk)).status_code == HTTPStatus.FOUND
    refused = mine.post(address("order-photo-stands", work, others.pk))
    assert refused.status_code == HTTPStatus.FORBIDDEN
    planner.post(address("order-photo-stands", work, own.pk), {"stands": "yes"})
    planner.post(
        address("order-photo-say", work, others.pk),
        {"caption": "rolls fitted", "moment": "after", "version": 1},
    )

    own.refresh_from_db()
    others.refresh_from_db()
    assert own.taken_back_at is None
    assert (others.caption, others.moment) == ("rolls fitted", "after")


def test_a_clerk_adds_nothing(plant: Plant, work: WorkOrder, hand: User) -> None:
    clerk = client_of(Role.CLERK, plant)
    note = make_note(work, hand)

    answers = [
        clerk.post(address("order-photos", work), sent()),
        clerk.post(address("order-note-correct", work, note.pk), {"words": "x", "version": 1}),
        clerk.post(address("order-note-stands", work, note.pk)),
    ]

    assert {answer.status_code for answer in answers} == {HTTPStatus.FORBIDDEN}


def test_the_case_shows_the_photos_of_its_work(planner: Client, order: WorkOrder) -> None:
    where = reverse("case", args=[order.case.number])
    assert "Photos of the work" not in planner.get(where).content.decode()

    photo = keep_photo(order, caption="bent frame")

    text = planner.get(where).content.decode()
    assert address("order-photo-small", order, photo.pk) in text


def test_a_note_is_corrected_by_its_writer_and_what_it_said_stays(
    work: WorkOrder, hand: User
) -> None:
    note, mine = make_note(work, hand, "two shims used"), signed_in(hand)

    mine.post(
        address("order-note-correct", work, note.pk), {"words": "three shims used", "version": 1}
    )

    text = mine.get(address("order", work)).content.decode()
    assert "three shims used" in text
    assert "Before it was corrected: two shims used" in text


def test_a_note_is_nobody_elses_to_change(planner: Client, work: WorkOrder, hand: User) -> None:
    note = make_note(work, hand)

    answers = [
        planner.post(address("order-note-correct", work, note.pk), {"words": "x", "version": 1}),
        planner.post(address("order-note-stands", work, note.pk)),
    ]

    assert {answer.status_code for answer in answers} == {HTTPStatus.FORBIDDEN}


def test_a_note_is_taken_back_and_put_back(work: WorkOrder, hand: User) -> None:
    note, mine = make_note(work, hand), signed_in(hand)
    where = address("order-note-stands", work, note.pk)

    mine.post(where, {"stands": "no"})
    note.refresh_from_db()
    assert note.taken_back_at is not None
    assert "taken back" in mine.get(address("order", work)).content.decode()
    mine.post(where, {"stands": "yes"})

    note.refresh_from_db()
    assert note.taken_back_at is None


@pytest.mark.parametrize(
    ("words", "version", "status"),
    [("", 1, HTTPStatus.BAD_REQUEST), ("x" * 2001, 1, HTTPStatus.BAD_REQUEST), ("y", 9, 409)],
)
def test_a_wrong_correction_of_a_note_is_refused(
    work: WorkOrder, hand: User, words: str, version: int, status: int
) -> None:
    note = make_note(work, hand)

    answer = signed_in(hand).post(
        address("order-note-correct", work, note.pk), {"words": words, "version": version}
    )

    assert answer.status_code == status
    note.refresh_from_db()
    assert note.words == "two shims used"
