"""What a phone takes back or makes count again: looks, close looks, photos, timed looks."""

import pytest

from diagnostics.models import Finding, Photo, PocketEntry, TimedLook
from tests.diagnostics.pocket.entries import Phone, begin, entry, look, outcomes
from tests.plant.drawn_pictures import a_jpeg

pytestmark = pytest.mark.django_db

FOUND = {"cause": "return_idler_skewed", "place": "R5", "is_present": True}
TAPPED = {
    "station": "R5",
    "run": "return",
    "position_m": 76.0,
    "load": "loaded",
    "taps": [[3.0, "over-right"], [5.0, "back"]],
    "duration_s": 70,
    "cautions_read": True,
}


def count(name: str, of: dict, counts: bool) -> dict:
    return entry("count", {name: of["id"], "counts": counts})


@pytest.mark.parametrize(
    ("name", "body", "rows"),
    [("finding", FOUND, Finding.objects), ("taps", TAPPED, TimedLook.objects)],
    ids=["close look", "timed look"],
)
def test_what_was_recorded_on_the_phone_is_taken_back_and_counts_again(name, body, rows):
    phone = Phone()
    made = entry(name, body)

    assert outcomes(phone.send(made, count(name, made, False))) == ["kept", "kept"]
    assert rows.get().taken_back_at is not None

    assert outcomes(phone.send(count(name, made, True))) == ["kept"]
    assert rows.get().taken_back_at is None


def test_a_photo_is_taken_back_and_counts_again():
    phone = Phone()
    made = entry("photo", {"place": "R5"})
    phone.send_photo(made, a_jpeg())

    phone.send(count("photo", made, False))
    assert Photo.objects.get().taken_back_at is not None
    assert phone.ask("news").json()["photo_ids"] == []

    phone.send(count("photo", made, True))
    assert Photo.objects.get().taken_back_at is None
    assert phone.ask("news").json()["photo_ids"] == [made["id"]]


@pytest.mark.parametrize("name", ["finding", "photo", "taps"])
def test_what_was_never_kept_cannot_be_taken_back(name: str):
    never = entry("finding", FOUND)

    (result,) = Phone().send(count(name, never, False))

    assert (result["outcome"], result["code"]) == ("refused", "record_missing")
    assert not PocketEntry.objects.exists()


def test_a_close_look_of_another_case_is_not_taken_back():
    phone, other = Phone(), Phone()
    made = entry("finding", FOUND)
    phone.send(made)

    (result,) = other.send(count("finding", made, False))

    assert result["code"] == "record_missing"
    assert Finding.objects.get().taken_back_at is None


def test_two_things_at_once_or_none_are_not_taken_back():
    phone = Phone()
    walk, made = begin(), entry("finding", FOUND)
    seen = look(walk)
    phone.send(walk, seen, made)
    both = entry("count", {"look": seen["id"], "finding": made["id"], "counts": False})
    none = entry("count", {"counts": False})

    results = phone.send(both, none)

    assert [(one["outcome"], one["code"]) for one in results] == [("refused", "invalid")] * 2
    assert "look, finding, photo, taps" in results[0]["text"]
    assert Finding.objects.get().taken_back_at is None
