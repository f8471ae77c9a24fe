"""Photos kept by the service: once, whole or not at all, of the right case, never lost."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from threading import Barrier
from typing import Any

import pytest
from django.core.files.storage import FileSystemStorage
from django.db import IntegrityError, connection, transaction
from PIL import Image

from diagnostics.case_states import CaseState
from diagnostics.models import Photo
from diagnostics.services import cases, findings, photos
from diagnostics.services.photos import About
from diagnostics.services.walking import ClientIdTaken
from plant.pictures import PictureRefused
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    later,
    look,
    make_bare_conveyor,
    make_case,
    make_person,
    make_walk_down,
)
from tests.diagnostics.sent_pictures import sent, take_photo
from tests.plant.drawn_pictures import ENGLISH_TEXT, a_jpeg, files_kept

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clean_storage")]


def test_a_photo_is_kept_with_its_files_and_who_sent_it():
    case = make_case()
    technician = make_person(Role.TECHNICIAN, case.conveyor.plant)

    row = take_photo(case, a_jpeg(2000, 1000), by=technician, place=" R5 ", caption=" worn shell ")

    assert (row.case, row.taken_by) == (case, technician)
    assert (row.place, row.caption) == ("R5", "worn shell")
    assert (row.width, row.height, row.size) == (1600, 800, row.file.size)
    assert row.taken_at == row.sent_at == NOW
    assert Image.open(row.file.open()).size == (1600, 800)
    assert Image.open(row.small_file.open()).size == (320, 160)
    assert files_kept() == sorted([row.file.name, row.small_file.name])


def test_file_names_tell_nothing_of_the_sender():
    row = take_photo(sent=sent(name="../../Dana Ferreira.jpg"))

    assert row.file.name == f"photos/2026/11/{row.client_id}.jpg"


def test_a_photo_stands_with_its_look():
    sighting = look(make_walk_down())

    row = take_photo(sighting.walk_down.case, sighting=sighting)

    assert list(sighting.photos.all()) == [row]


def test_a_photo_alone_changes_neither_state_nor_diagnosis():
    case = make_case()

    take_photo(case)

    case.refresh_from_db()
    assert case.state == CaseState.OPEN
    assert case.diagnosis_owed_at is None


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        (NOW - timedelta(hours=3), NOW - timedelta(hours=3)),
        (NOW + timedelta(hours=5), NOW),
        (datetime(1, 1, 1, tzinfo=UTC), NOW),
        (None, NOW),
    ],
)
def test_a_photo_is_never_taken_later_than_it_was_sent(said: Any, kept: Any):
    assert take_photo(sent=sent(taken_at=said)).taken_at == kept


def test_the_cameras_clock_is_read_in_the_plants_zone():
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "2026:11:01 09:15:30"

    row = take_photo(content=a_jpeg(exif=exif))

    assert row.case.conveyor.plant.time_zone == "America/Halifax"
    assert row.taken_at == datetime(2026, 11, 1, 13, 15, 30, tzinfo=UTC)


def test_the_same_photo_sent_twice_is_kept_once():
    case, one = make_case(), sent()

    first = take_photo(case, sent=one, caption="as sent")
    second = take_photo(case, sent=one, caption="again", now=later(hours=1))

    assert second.pk == first.pk
    assert Photo.objects.get().caption == "as sent"
    assert len(files_kept()) == 2


def test_the_same_photo_sent_again_after_the_case_ended_is_still_known():
    case, one = make_case(), sent()
    first = take_photo(case, sent=one)
    cases.move_case(case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="x")

    assert take_photo(case, sent=one).pk == first.pk


def test_one_photo_twice_in_one_post_is_kept_once():
    one = sent()

    rows = photos.take_photos(
        case_id=make_case().pk, sent=[one, one], about=About(), by=None, now=NOW
    )

    assert len(rows) == Photo.objects.count() == 1
    assert len(files_kept()) == 2


@pytest.mark.django_db(transaction=True)
def test_the_same_photo_sent_twice_at_once_is_kept_once():
    case, one, barrier = make_case(make_bare_conveyor()), sent(), Barrier(2)

    def send(_number: int) -> int:
        try:
            barrier.wait(timeout=20)
            return take_photo(case, sent=one).pk
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        first, second = pool.map(send, range(2))

    assert first == second == Photo.objects.get().pk
    row = Photo.objects.get()
    assert files_kept() == sorted([row.file.name, row.small_file.name])


@pytest.mark.django_db(transaction=True)
def test_one_id_sent_to_two_cases_at_once_is_kept_in_one_of_them():
    both = [make_case(make_bare_conveyor()) for _ in range(2)]
    one, barrier = sent(), Barrier(2)

    def send(number: int) -> Any:
        try:
            barrier.wait(timeout=20)
            return take_photo(both[number], sent=one)
        except ClientIdTaken as refusal:
            return refusal
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        outcomes = list(pool.map(send, range(2)))

    assert sorted(type(outcome).__name__ for outcome in outcomes) == ["ClientIdTaken", "Photo"]
    assert len(files_kept()) == 2


def test_a_photo_of_another_case_by_its_id_is_refused():
    first = take_photo()

    with pytest.raises(ClientIdTaken):
        take_photo(sent=sent(client_id=first.client_id))
    assert Photo.objects.count() == 1


def test_of_several_photos_one_that_is_none_refuses_all_by_its_name():
    case = make_case()
    several = [sent(name="good.jpg"), sent(ENGLISH_TEXT, name="notes.jpg")]

    with pytest.raises(PictureRefused, match=r"notes\.jpg: This is no picture"):
        photos.take_photos(case_id=case.pk, sent=several, about=About(), by=None, now=NOW)
    assert not Photo.objects.exists()
    assert files_kept() == []


def test_a_photo_of_an_ended_case_is_refused_and_leaves_no_file():
    case = make_case()
    cases.move_case(case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="x")

    with pytest.raises(cases.CaseHasEnded):
        take_photo(case)
    assert files_kept() == []


def test_a_photo_of_no_case_is_refused():
    with pytest.raises(cases.CaseMissing):
        photos.take_photos(case_id=404, sent=[sent()], about=About(), by=None, now=NOW)
    assert files_kept() == []


def test_what_belongs_to_another_case_is_refused():
    elsewhere = look(make_walk_down())
    finding = findings.record_finding(
        case_id=elsewhere.walk_down.case_id,
        cause="return_idler_skewed",
        is_present=True,
        by=None,
        now=NOW,
    )

    for about in ({"sighting": elsewhere}, {"finding": finding}):
        with pytest.raises(photos.PhotoOfAnotherCase):
            take_photo(make_case(), **about)
    assert not Photo.objects.exists()
    assert files_kept() == []


def test_a_storage_that_fails_half_way_keeps_nothing(monkeypatch: pytest.MonkeyPatch):
    real, calls = FileSystemStorage.save, []

    def full_after_the_first(storage: Any, name: str, content: Any, **more: Any) -> str:
        calls.append(name)
        if len(calls) > 1:
            raise OSError("No space left on device")
        return real(storage, name, content, **more)

    monkeypatch.setattr(FileSystemStorage, "save", full_after_the_first)
    with pytest.raises(OSError, match="No space"):
        take_photo()
    assert len(calls) == 2
    assert not Photo.objects.exists()
    assert files_kept() == []


def test_a_case_holds_forty_photos_and_says_so(monkeypatch: pytest.MonkeyPatch):
    assert photos.MOST_PHOTOS == 40
    monkeypatch.setattr(photos, "MOST_PHOTOS", 3)
    case = make_case()
    for _ in range(2):
        take_photo(case)
    last = sent()

    with pytest.raises(photos.TooManyPhotos, match="at most 3 photos and this one has 2"):
        photos.take_photos(case_id=case.pk, sent=[last, sent()], about=About(), by=None, now=NOW)
    assert Photo.objects.count() == 2

    take_photo(case, sent=last)
    # Known already: no more of them than before.
    take_photo(case, sent=last)
    with pytest.raises(photos.TooManyPhotos):
        take_photo(case)


def count(row: Photo, *, counts: bool, hours: int = 1) -> Photo:
    return photos.count_photo(
        photo_id=row.pk, case_id=row.case_id, counts=counts, now=later(hours=hours)
    )


def test_a_photo_taken_back_stays_and_counts_again_when_that_is_undone():
    row = take_photo()

    for hours in (1, 2):
        assert count(row, counts=False, hours=hours).taken_back_at == later(hours=1)
        assert not Photo.objects.standing().exists()
    assert len(files_kept()) == 2
    for _asked_twice in range(2):
        assert count(row, counts=True).taken_back_at is None
        assert Photo.objects.standing().count() == 1


def test_a_photo_taken_back_makes_room_and_does_not_come_back_over_the_limit(
    monkeypatch: pytest.MonkeyPatch,
):
    monkeypatch.setattr(photos, "MOST_PHOTOS", 1)
    row = take_photo()
    assert count(row, counts=True).taken_back_at is None
    count(row, counts=False)
    take_photo(row.case)

    with pytest.raises(photos.TooManyPhotos):
        count(row, counts=True)


def test_a_photo_of_an_ended_case_is_not_taken_back():
    row = take_photo()
    cases.move_case(case_id=row.case_id, to_state=CaseState.CANCELLED, by=None, now=NOW, why="x")

    with pytest.raises(cases.CaseHasEnded):
        count(row, counts=False)


@pytest.mark.parametrize("changes", [{"width": 0}, {"size": 0}, {"file": ""}, {"small_file": ""}])
def test_the_table_itself_refuses_a_photo_of_nothing(changes: dict[str, Any]):
    row = take_photo()

    with pytest.raises(IntegrityError), transaction.atomic():
        Photo.objects.filter(pk=row.pk).update(**changes)


def test_two_photos_of_one_id_are_refused_by_the_table():
    first, second = take_photo(), take_photo()

    with pytest.raises(IntegrityError), transaction.atomic():
        Photo.objects.filter(pk=second.pk).update(client_id=first.client_id)
