"""Pages of photos: those of a case, handing one out, refusals, taking back."""

import io
import re
import uuid
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

from diagnostics import photo_forms, photo_panel
from diagnostics.case_states import CaseState
from diagnostics.models import Case, Photo
from diagnostics.services import cases
from diagnostics.services import photos as service
from plant import picture_fields
from plant.models import Plant
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    later,
    look,
    make_case,
    make_conveyor,
    make_person,
    make_plant,
    make_walk_down,
)
from tests.diagnostics.sent_pictures import posted, sent, take_photo
from tests.plant.drawn_pictures import ENGLISH_TEXT, HEIC, a_jpeg, file
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db

HANDS = (Role.TECHNICIAN, Role.LEAD, Role.ADMINISTRATOR)


@pytest.fixture
def case(plant: Plant) -> Case:
    return make_case(make_conveyor(plant))


def text(client: Client, name: str, *args: Any) -> str:
    response = client.get(reverse(name, args=args))
    assert response.status_code == HTTPStatus.OK
    return response.content.decode()


def test_several_photos_are_added_and_shown_with_their_words(technician, clerk, case):
    address = reverse("case-photos", args=[case.number])

    response = technician.post(
        address, posted(file(), file(a_jpeg(300, 400)), caption="Worn <shell>", place="R9")
    )

    assert response.status_code == HTTPStatus.FOUND
    assert response["Location"] == address
    first, second = Photo.objects.order_by("pk")
    for client in (technician, clerk):
        for page in (text(client, "case", case.number), text(client, "case-photos", case.number)):
            assert page.count('alt="Worn &lt;shell&gt;"') == 2
            assert "Worn &lt;shell&gt;, R9" in page
            assert str(first.taken_by) in page
            assert f'<a href="{reverse("photo", args=[first.pk])}">' in page
            assert f'src="{reverse("photo-small", args=[second.pk])}"' in page
    assert 'width="240" height="320"' in text(clerk, "case", case.number)


@pytest.mark.parametrize("role", list(Role))
def test_every_role_sees_photos_and_only_hands_add_and_take_back(role: Role, plant, case):
    row = take_photo(case)
    client = signed_in(make_person(role, plant))
    may = role in HANDS

    page = text(client, "case-photos", case.number)
    added = client.post(reverse("case-photos", args=[case.number]), posted())
    back = client.post(reverse("photo-counts", args=[row.pk]), {"counts": "no"})

    assert ("Keep the photos" in page) is may
    assert ("Take back" in page) is may
    expected = HTTPStatus.FOUND if may else HTTPStatus.FORBIDDEN
    assert (added.status_code, back.status_code) == (expected, expected)
    assert Photo.objects.count() == 1 + may
    assert Photo.objects.filter(taken_back_at__isnull=False).exists() is may
    for name in ("photo", "photo-small"):
        assert client.get(reverse(name, args=[row.pk])).status_code == HTTPStatus.OK


def test_a_stranger_finds_no_photo_and_adds_none(case):
    row = take_photo(case)
    walk_down = make_walk_down(case)
    stranger = signed_in(make_person(Role.ADMINISTRATOR, make_plant()))

    for name in ("photo", "photo-small"):
        assert stranger.get(reverse(name, args=[row.pk])).status_code == HTTPStatus.NOT_FOUND
    for name, which in (
        ("case-photos", case.number),
        ("case-findings", case.number),
        ("walk-down-photo", walk_down.pk),
        ("photo-counts", row.pk),
    ):
        response = stranger.post(reverse(name, args=[which]), posted())
        assert response.status_code == HTTPStatus.NOT_FOUND
    row.refresh_from_db()
    assert row.taken_back_at is None
    assert Photo.objects.count() == 1


def test_a_photo_is_handed_out_as_what_it_is_and_kept_privately(clerk, case):
    row = take_photo(case)

    for name, size in (("photo", (400, 300)), ("photo-small", (320, 240))):
        response = clerk.get(reverse(name, args=[row.pk]))

        assert response["Content-Type"] == "image/jpeg"
        assert response["X-Content-Type-Options"] == "nosniff"
        assert re.fullmatch(
            rf'inline; filename="{case.number}-{row.pk}(-small)?\.jpg"',
            response["Content-Disposition"],
        )
        assert "private" in response["Cache-Control"]
        assert "Cookie" in response["Vary"]
        assert Image.open(io.BytesIO(response.getvalue())).size == size


def test_a_photo_whose_file_is_gone_is_not_there(clerk, case):
    row = take_photo(case)
    row.file.storage.delete(row.file.name)

    assert clerk.get(reverse("photo", args=[row.pk])).status_code == HTTPStatus.NOT_FOUND


def test_the_storage_folder_itself_is_not_served(technician, case):
    row = take_photo(case)

    for path in (f"/{row.file.name}", f"/media/{row.file.name}", f"/files/{row.file.name}"):
        assert technician.get(path).status_code == HTTPStatus.NOT_FOUND


@pytest.mark.parametrize(
    ("files", "words"),
    [
        ([file(ENGLISH_TEXT)], "This is no picture that can be read"),
        ([file(HEIC, "IMG_0002.HEIC")], "Set the camera to"),
        ([file(a_jpeg()[:3000])], "broken or was cut off"),
        ([file(), file(ENGLISH_TEXT, "notes.jpg")], "notes.jpg: This is no picture"),
        ([file(b"")], "empty"),
        ([], "Take or choose at least one photo"),
        ([file() for _ in range(9)], "at most 8 photos at once"),
        ([file(a_jpeg() + b"\x00" * 10_000_001, "big.jpg")], "big.jpg: The picture has 10.0 MB"),
    ],
    ids=["text", "heic", "truncated", "one-of-two", "empty", "none", "nine", "large"],
)
def test_what_is_refused_says_why_and_keeps_what_was_typed(technician, case, files, words):
    for one in files:
        one.seek(0)
    typed = {"photos": files, "caption": "Worn shell", "place": "R9"}

    response = technician.post(reverse("case-photos", args=[case.number]), typed)

    page = response.content.decode()
    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert words in page
    assert 'value="Worn shell"' in page
    assert 'value="R9"' in page
    assert not Photo.objects.exists()


def test_one_photo_too_many_is_refused(technician, case, monkeypatch):
    monkeypatch.setattr(service, "MOST_PHOTOS", 1)
    take_photo(case)

    response = technician.post(reverse("case-photos", args=[case.number]), posted())

    assert response.status_code == HTTPStatus.CONFLICT
    assert "at most 1 photos" in response.content.decode()


def test_a_form_sent_twice_keeps_its_photos_once_and_another_choice_too(technician, case):
    address, sent_as = reverse("case-photos", args=[case.number]), str(uuid.uuid4())

    for _ in range(2):
        technician.post(address, posted(file(), sent_as=sent_as))
    technician.post(address, posted(file(a_jpeg(300, 200)), sent_as=sent_as))

    assert Photo.objects.count() == 2


def test_an_ended_case_takes_no_photos_and_shows_those_it_has(technician, case):
    row = take_photo(case)
    cases.move_case(case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="x")

    page = text(technician, "case-photos", case.number)
    added = technician.post(reverse("case-photos", args=[case.number]), posted())
    back = technician.post(reverse("photo-counts", args=[row.pk]), {"counts": "no"}, follow=True)

    assert "Keep the photos" not in page
    assert reverse("photo", args=[row.pk]) in page
    assert added.status_code == HTTPStatus.CONFLICT
    assert "is cancelled" in back.content.decode()
    assert Photo.objects.get().taken_back_at is None


def test_a_photo_is_taken_back_and_counts_again(technician, case):
    row = take_photo(case, caption="Worn shell")
    address = reverse("photo-counts", args=[row.pk])

    for _pressed_twice in range(2):
        page = technician.post(address, {"counts": "no"}, follow=True).content.decode()
        assert "Taken back." in page
        assert 'alt="Worn shell"' in page
        assert '<input type="hidden" name="counts" value="yes">' in page
        assert "Count it again" in page

    for _pressed_twice in range(2):
        page = technician.post(address, {"counts": "yes"}, follow=True).content.decode()
        assert "It counts again." in page
        assert '<input type="hidden" name="counts" value="no">' in page
        assert Photo.objects.get().taken_back_at is None


@pytest.mark.parametrize("sent", [{}, {"counts": ""}, {"counts": "toggle"}])
def test_not_saying_whether_a_photo_counts_is_refused_and_changes_nothing(technician, case, sent):
    row = take_photo(case)

    response = technician.post(reverse("photo-counts", args=[row.pk]), sent)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert Photo.objects.get().taken_back_at is None


def test_looking_at_the_address_of_taking_back_changes_nothing(technician, case):
    row = take_photo(case)

    response = technician.get(reverse("photo-counts", args=[row.pk]))

    assert response.status_code == HTTPStatus.METHOD_NOT_ALLOWED


def test_the_case_page_shows_the_latest_and_leads_to_all(technician, case):
    for number in range(photo_panel.SHOWN + 1):
        take_photo(case, sent=sent(taken_at=later(minutes=-number)), caption=f"No {number}.")

    page = text(technician, "case", case.number)

    assert page.count('loading="lazy"') == photo_panel.SHOWN
    assert 'alt="No 0."' in page
    assert f'alt="No {photo_panel.SHOWN}."' not in page
    assert "All photos" in page


def test_pages_of_photos_ask_no_more_for_many(
    technician, case, django_assert_max_num_queries, django_assert_num_queries
):
    def count(name: str) -> int:
        with django_assert_max_num_queries(100) as asked:
            text(technician, name, case.number)
        return len(asked)

    person = make_person(Role.LEAD, case.conveyor.plant)
    take_photo(case, by=person)
    before = {name: count(name) for name in ("case", "case-photos")}
    for _ in range(4):
        take_photo(case, by=person, sighting=look(make_walk_down(case)))
    looked = {"cause": "return_roll_seized", "found": "yes", "place": "R9", "photos": [file()]}
    technician.post(reverse("case-findings", args=[case.number]), looked)
    assert Photo.objects.count() == 6

    # Photos of close looks name a cause, which asks once for the plant's knowledge.
    with django_assert_num_queries(before["case-photos"] + 1):
        text(technician, "case-photos", case.number)
    # The photos of a case are one query of its page.
    with django_assert_max_num_queries(before["case"] + 1):
        text(technician, "case", case.number)


def test_a_case_without_photos_says_what_to_do_first(technician, case):
    assert "No photo is with this case" in text(technician, "case", case.number)
    assert "No photo is with this case yet" in text(technician, "case-photos", case.number)


def test_a_damaged_form_id_is_refused_not_an_error(technician, case):
    response = technician.post(reverse("case-photos", args=[case.number]), posted(sent_as="x"))

    assert response.status_code == HTTPStatus.BAD_REQUEST


def test_a_place_with_a_null_byte_is_refused_not_an_error(technician, case):
    address = reverse("walk-down-photo", args=[make_walk_down(case).pk])

    response = technician.post(address, posted(place="R5\x00"))

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert not Photo.objects.exists()


def test_the_words_say_how_many_go_at_once():
    assert f"{picture_fields.MOST_AT_ONCE} at once" in photo_forms.PhotosForm().as_p()
