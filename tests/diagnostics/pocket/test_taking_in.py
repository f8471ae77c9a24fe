"""What phones recorded without signal: kept once each, in order, by the site's clock."""

import threading
from datetime import timedelta

import pytest
from django.db import connection
from django.utils import timezone

from diagnostics.case_states import CaseState
from diagnostics.models import Finding, Photo, PocketEntry, Sighting, TimedLook, WalkDown
from diagnostics.services import cases
from diagnostics.services.pocket import EntryKind, SentEntry, take_entry
from diagnostics.services.walking import Pass
from plant.roles import Role
from tests.diagnostics.factories import make_case, make_person, make_walk_down
from tests.diagnostics.pocket.entries import HOW, Phone, begin, entry, look, outcomes
from tests.plant.drawn_pictures import a_jpeg

pytestmark = pytest.mark.django_db


def test_a_whole_walk_recorded_without_signal_comes_in_as_it_was_made():
    phone = Phone()
    walk = begin(facing="tail", remarks=["with wind"])
    seen = look(walk, offset_mm=-45.0, degree=None, side=None)
    found = entry("finding", {"cause": "return_idler_skewed", "place": "R5", "is_present": True})
    taps = entry(
        "taps",
        {
            "station": "R5", "run": "return", "position_m": 76.0, "load": "loaded",
            "taps": [[3.0, "over-right"], [5.0, "back"]], "duration_s": 70, "cautions_read": True,
        },
    )  # fmt: skip
    turned = entry("pass", {"walk": walk["id"], **HOW, "load": "empty", "remarks": ["when wet"]})
    end = entry("finish", {"walk": walk["id"]}, age_s=1)

    results = phone.send(walk, seen, found, taps, turned, end)

    assert outcomes(results) == ["kept"] * 6, results
    row = WalkDown.objects.get()
    assert (str(row.client_id), row.facing, row.load) == (walk["id"], "head", "empty")
    assert row.walked_by == phone.person
    assert row.remarks == ["when wet"]
    assert row.finished_at is not None
    kept = Sighting.objects.get()
    assert (kept.offset_mm, kept.station, kept.persistence) == (-45.0, "R5", "steady")
    assert Finding.objects.get().place == "R5"
    assert TimedLook.objects.get().duration_s == 70


def test_a_walk_told_hours_later_is_dated_to_when_it_was_made():
    phone = Phone()
    walk = begin(age_s=4 * 3600)

    phone.send(walk, look(walk, age_s=3 * 3600))

    row = WalkDown.objects.get()
    assert abs(timezone.now() - row.started_at - timedelta(hours=4)) < timedelta(minutes=1)
    (seen,) = row.sightings.all()
    assert abs(timezone.now() - seen.seen_at - timedelta(hours=3)) < timedelta(minutes=1)


def test_a_clock_that_was_set_in_between_loses_no_look():
    phone = Phone()
    walk = begin(age_s=60)

    results = phone.send(walk, look(walk, age_s=7200))

    assert outcomes(results) == ["kept", "kept"]
    row = WalkDown.objects.get()
    assert row.sightings.get().seen_at == row.started_at


def test_everything_sent_again_is_known_and_kept_once():
    phone = Phone()
    walk = begin()
    sent = [
        walk,
        look(walk),
        entry("finding", {"cause": "return_idler_skewed", "place": "R5", "is_present": False}),
        entry("finish", {"walk": walk["id"]}),
    ]
    phone.send(*sent)

    again = phone.send(*sent)

    assert outcomes(again) == ["known"] * 4
    assert (WalkDown.objects.count(), Sighting.objects.count(), Finding.objects.count()) == (
        1,
        1,
        1,
    )


def test_a_photo_comes_in_once_with_the_look_it_shows():
    phone = Phone()
    walk, told = begin(), None
    seen = look(walk)
    phone.send(walk, seen)
    told = entry("photo", {"place": "R5", "caption": "worn edge", "look": seen["id"]})

    results = [phone.send_photo(told, a_jpeg()) for _twice in range(2)]

    assert outcomes(results) == ["kept", "known"]
    photo = Photo.objects.get()
    assert (photo.place, photo.caption) == ("R5", "worn edge")
    assert str(photo.sighting.client_id) == seen["id"]


def test_a_file_that_is_no_picture_is_refused_and_leaves_nothing():
    phone = Phone()
    told = entry("photo", {"place": "R5"})

    result = phone.send_photo(told, b"no picture at all")

    assert (result["outcome"], result["code"]) == ("refused", "picture_refused")
    assert not Photo.objects.exists()
    assert not PocketEntry.objects.exists()


def test_a_belt_that_stands_still_is_a_walk_down_that_is_over():
    phone = Phone()

    phone.send(begin(stopped_reason="no ship"))

    row = WalkDown.objects.get()
    assert row.stopped_reason == "no ship"
    assert row.finished_at is not None


def test_a_look_taken_back_twice_stays_taken_back():
    phone = Phone()
    walk = begin()
    seen = look(walk)
    undo = [entry("count", {"look": seen["id"], "counts": False}) for _twice in range(2)]

    results = phone.send(walk, seen, *undo)

    assert outcomes(results) == ["kept"] * 4
    assert Sighting.objects.get().taken_back_at is not None


def test_a_look_that_comes_late_finds_its_finished_walk_down():
    phone = Phone()
    walk = begin()
    phone.send(walk, entry("finish", {"walk": walk["id"]}))

    results = phone.send(look(walk))

    assert outcomes(results) == ["kept"]


def test_a_finished_walk_goes_on():
    phone = Phone()
    walk = begin()

    phone.send(walk, entry("finish", {"walk": walk["id"]}), entry("go-on", {"walk": walk["id"]}))

    assert WalkDown.objects.get().finished_at is None


def test_a_case_that_ended_meanwhile_refuses_and_says_why():
    phone = Phone()
    walk = begin()
    phone.send(walk)
    cases.move_case(
        case_id=phone.case.pk,
        to_state=CaseState.CANCELLED,
        by=None,
        now=timezone.now(),
        why="double",
    )

    (result,) = phone.send(look(walk))

    assert (result["outcome"], result["code"]) == ("refused", "case_has_ended")
    assert phone.case.number in result["text"]
    assert not Sighting.objects.exists()


def test_a_refused_entry_can_be_sent_again_when_its_reason_is_gone():
    phone = Phone()
    walk = begin()
    early = look(walk)
    assert phone.send(early)[0]["code"] == "walk_down_missing"

    results = phone.send(walk, early)

    assert outcomes(results) == ["kept", "kept"]


def test_one_refused_entry_stops_none_of_the_others():
    phone = Phone()
    walk = begin()

    results = phone.send(walk, look(walk, position_m=99_000), look(walk, "R6", position_m=79))

    assert outcomes(results) == ["kept", "refused", "kept"]
    assert results[1]["code"] == "off_the_loop"


def test_an_id_of_another_case_is_refused():
    phone, other = Phone(), Phone()
    walk = begin()
    phone.send(walk)

    (result,) = other.send(walk)

    assert (result["outcome"], result["code"]) == ("refused", "client_id_taken")


def test_a_look_of_a_walk_of_another_case_is_refused():
    phone, other = Phone(), Phone()
    walk = begin()
    phone.send(walk)

    (result,) = other.send(look(walk))

    assert result["code"] == "walk_down_missing"


def test_cautions_that_were_not_read_begin_no_walk():
    (result,) = Phone().send(begin(cautions_read=False))

    assert result["code"] == "cautions_unread"
    assert not WalkDown.objects.exists()


def test_looks_on_a_walk_begun_at_the_desk_come_in_by_its_id():
    case = make_case()
    phone = Phone(case)
    walk_down = make_walk_down(case, **{"load": "loaded"})

    results = phone.send(look({"id": str(walk_down.client_id)}))

    assert outcomes(results) == ["kept"]


@pytest.mark.django_db(transaction=True)
def test_the_same_entry_sent_twice_at_once_is_kept_once():
    case = make_case()
    person = make_person(Role.TECHNICIAN, case.conveyor.plant)
    walk = begin()
    how = {"how": Pass(), "cautions_read": True}
    sent = SentEntry(walk["id"], EntryKind.BEGIN, how, timezone.now())
    ready = threading.Barrier(4)
    found = []

    def send() -> None:
        ready.wait()
        try:
            taken = take_entry(case_id=case.pk, sent=sent, by=person, now=timezone.now())
            found.append(taken.is_known)
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _number in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()

    assert sorted(found) == [False, True, True, True]
    assert WalkDown.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_many_looks_at_once_are_diagnosed_once():
    phone = Phone()
    walk = begin()
    looks = [look(walk, f"R{number}", position_m=61.0 + 3 * number) for number in range(1, 15)]

    phone.send(walk, *looks)

    phone.case.refresh_from_db()
    assert phone.case.diagnosis_owed_at is None
    assert phone.case.diagnoses.count() == 1
