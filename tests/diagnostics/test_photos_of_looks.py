"""Photos with what they show: a close look kept with them or not at all, a look on a walk-down."""

import re
import uuid
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Finding, Photo
from diagnostics.services import diagnosing, findings, photos
from plant.models import Plant
from plant.pictures import PictureRefused
from tests.diagnostics.factories import (
    NOW,
    later,
    look,
    make_case,
    make_conveyor,
    make_walk_down,
    walk_with_trouble_on_return,
)
from tests.diagnostics.sent_pictures import posted, sent
from tests.plant.drawn_pictures import ENGLISH_TEXT, a_jpeg, file, files_kept

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clean_storage")]


@pytest.fixture
def case(plant: Plant) -> Case:
    return make_case(make_conveyor(plant))


def text(client: Client, name: str, *args: Any) -> str:
    return client.get(reverse(name, args=args)).content.decode()


def record(case: Any, **changes: Any) -> Finding:
    given = {"cause": "return_idler_skewed", "is_present": True, "place": "R9", "by": None}
    return findings.record_finding(case_id=case.pk, now=NOW, **{**given, **changes})


def test_a_close_look_is_kept_with_its_photos():
    case = make_case()

    finding = record(case, photos=[sent(), sent()])

    assert [row.place for row in finding.photos.all()] == ["R9", "R9"]
    assert Photo.objects.filter(case=case).count() == 2


@pytest.mark.parametrize(
    "changes", [{"photos": [sent(), sent(ENGLISH_TEXT)]}, {"cause": "gremlins"}]
)
def test_a_close_look_whose_photo_or_cause_is_refused_keeps_neither(changes: dict[str, Any]):
    case = make_case()

    with pytest.raises((PictureRefused, findings.UnknownCause)):
        record(case, **{"photos": [sent()], **changes})
    case.refresh_from_db()
    assert case.state == CaseState.OPEN
    assert not Finding.objects.exists()
    assert files_kept() == []


def test_too_many_photos_keep_the_close_look_out_as_well(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(photos, "MOST_PHOTOS", 1)

    with pytest.raises(photos.TooManyPhotos):
        record(make_case(), photos=[sent(), sent()])
    assert not Finding.objects.exists()
    assert files_kept() == []


def test_photos_come_with_a_close_look(technician, case):
    looked = {"cause": "return_roll_seized", "found": "yes", "place": "R9", "note": ""}

    response = technician.post(
        reverse("case-findings", args=[case.number]),
        {**looked, "photos": [file(), file(a_jpeg(9, 9))]},
    )

    assert response.status_code == HTTPStatus.FOUND
    finding = Finding.objects.get()
    assert [row.place for row in finding.photos.all()] == ["R9", "R9"]
    assert re.search(r'alt="[^"]*, found: R9"', text(technician, "case", case.number))


def test_the_same_photo_with_two_close_looks_of_one_page_stands_with_both(technician, case):
    sent_as = str(uuid.uuid4())
    for cause in ("return_roll_seized", "return_idler_skewed"):
        looked = {"cause": cause, "found": "no", "place": "R9", "sent_as": sent_as}
        technician.post(
            reverse("case-findings", args=[case.number]), {**looked, "photos": [file()]}
        )

    assert [finding.photos.count() for finding in Finding.objects.all()] == [1, 1]


def test_a_close_look_with_a_file_that_is_no_picture_is_refused_and_its_note_kept(technician, case):
    walk_with_trouble_on_return(case)
    made = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))
    first = made.hypotheses.all()[0]
    looked = {"cause": first.cause, "found": "yes", "place": first.component, "note": "turns free"}

    response = technician.post(
        reverse("case-findings", args=[case.number]), {**looked, "photos": [file(ENGLISH_TEXT)]}
    )

    page = response.content.decode()
    assert response.status_code == HTTPStatus.BAD_REQUEST
    # Beside the suspicion it was about, and in the form for all others.
    assert page.count("This is no picture that can be read") == 2
    assert page.count('value="turns free"') == 2
    assert not Finding.objects.exists()


def test_every_form_of_close_looks_takes_photos(technician, case):
    walk_with_trouble_on_return(case)
    diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))

    page = text(technician, "case-findings", case.number)

    forms = page.count('enctype="multipart/form-data"')
    assert forms >= 4
    assert page.count('type="file"') == page.count("data-photos") == forms
    assert page.count('accept="image/*"') == page.count('capture="environment"') == forms


def test_a_photo_of_a_place_goes_with_the_look_kept_there(technician, case):
    walk_down = make_walk_down(case)
    old = look(walk_down, "R5")
    new = look(walk_down, "R5", now=later(minutes=20))
    page = technician.get(reverse("walk-down", args=[walk_down.pk]), {"station": "R5"})
    address = reverse("walk-down-photo", args=[walk_down.pk])
    assert f"{address}?station=R5#add" in page.content.decode()
    assert 'value="R5"' in technician.get(address, {"station": "R5"}).content.decode()

    response = technician.post(address, posted(place="r5"))

    assert response["Location"].endswith(f"{walk_down.pk}/?station=r5#look")
    assert Photo.objects.get().sighting == new
    assert not old.photos.exists()


def test_a_photo_of_a_place_without_a_look_is_kept_with_the_place(technician, case):
    walk_down = make_walk_down(case)

    technician.post(reverse("walk-down-photo", args=[walk_down.pk]), posted(place="R9"))

    row = Photo.objects.get()
    assert (row.sighting, row.place, row.case) == (None, "R9", case)
