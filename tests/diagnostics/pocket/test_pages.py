"""The addresses that the app asks: shape, size, strangers, hostile bodies."""

import json

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics.models import PocketEntry
from plant.roles import Role
from tests.diagnostics.factories import (
    look as kept_look,
)
from tests.diagnostics.factories import (
    make_bare_conveyor,
    make_case,
    make_person,
    make_plant,
    make_timed_look,
    make_walk_down,
    walk_with_trouble_on_return,
)
from tests.diagnostics.pocket.entries import Phone, begin, look
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


def test_a_kit_has_everything_a_walk_needs():
    case = make_case()
    walk_down = walk_with_trouble_on_return(case)
    phone = Phone(case)

    kit = phone.ask("kit").json()

    assert kit["case"]["number"] == case.number
    assert kit["conveyor"]["right_words"] == "shed side"
    assert kit["stops"][0]["station"] == "TP"
    assert [one["number"] for one in kit["stops"]] == list(range(1, len(kit["stops"]) + 1))
    assert sum(one["is_turn"] for one in kit["stops"]) == 1
    assert len(kit["looks"]) == walk_down.sightings.count()
    assert kit["cautions"]
    assert kit["checklist"][0].keys() >= {"cause", "name", "what", "needs_stop", "cautions"}
    assert len(kit["drawing"]["points"]) == len(kit["drawing"]["at_m"])
    assert abs(sum(2.718281828**one for one in kit["evidence"]["log_priors"].values()) - 1) < 1e-6


def test_the_drawing_follows_the_belt_from_the_tail_round():
    at_m = Phone().ask("kit").json()["drawing"]["at_m"]

    assert at_m[0] == 0
    assert at_m == sorted(set(at_m))


def test_a_timed_look_goes_along_as_what_it_says():
    case = make_case()
    make_timed_look(case)

    travel = Phone(case).ask("kit").json()["evidence"]["travel"]

    assert travel["log_ratio"] > 1.1
    assert travel["is_too_short"] is False


def test_an_incomplete_register_gives_a_kit_without_a_route_that_says_so():
    phone = Phone(make_case(make_bare_conveyor()))

    kit = phone.ask("kit").json()

    assert kit["stops"] == []
    assert kit["missing"]
    assert phone.ask("table").status_code == 404


def test_news_tell_what_somebody_else_saw_meanwhile():
    case = make_case()
    phone = Phone(case)
    kept_look(make_walk_down(case), "R5", 76.0)

    news = phone.ask("news").json()

    (seen,) = news["looks"]
    assert (seen["station"], seen["degree"], seen["side"]) == ("R5", "half", "right")
    assert seen["is_mine"] is False


def test_the_reader_s_own_unfinished_walk_goes_along():
    phone = Phone()
    walk = begin(facing="tail")
    phone.send(walk)

    assert phone.ask("news").json()["walk"]["id"] == walk["id"]
    assert Phone(phone.case).ask("news").json()["walk"] is None


def test_the_mark_of_the_register_changes_with_the_register():
    phone = Phone()
    before = phone.ask("news").json()["register"]
    assert phone.ask("kit").json()["register"] == before

    phone.case.conveyor.speed_mps = 3.1
    phone.case.conveyor.save()

    assert phone.ask("news").json()["register"] != before


def test_the_state_names_the_person_the_time_and_the_open_cases():
    phone = Phone()
    make_case()

    told = phone.client.get(reverse("pocket-state")).json()

    assert told["person"]["key"] == str(phone.person.pk)
    assert [one["number"] for one in told["cases"]] == [phone.case.number]
    assert told["may_walk"] is True
    assert told["csrf"]
    assert told["now"][:10] == f"{timezone.now():%Y-%m-%d}"


@pytest.mark.parametrize("what", ["kit", "table", "news"])
def test_a_case_of_another_plant_is_not_there(what):
    stranger = Phone(make_case(), make_person(Role.TECHNICIAN, make_plant()))

    assert stranger.ask(what).status_code == 404
    assert stranger.post({"entries": [], "person": str(stranger.person.pk)}).status_code == 404


def test_a_clerk_walks_no_belt():
    case = make_case()
    clerk = signed_in(make_person(Role.CLERK, case.conveyor.plant))

    assert clerk.get(reverse("pocket-kit", args=[case.number])).status_code == 403


def test_entries_of_somebody_else_are_not_taken_as_mine():
    phone = Phone()

    answer = phone.post({"entries": [begin()], "person": "999999"})

    assert (answer.status_code, answer.json()["code"]) == (409, "other_person")
    assert not PocketEntry.objects.exists()


@pytest.mark.parametrize(
    "body",
    [
        b"", b"{", b"[]", b"null", b"{}", b'{"entries": {}}', b'{"entries": [1], "person": 3',
        b'{"entries": "' + b"[" * 90_000, b"[" * 90_000, b'{"person": "\\ud800", "entries": []}',
        json.dumps({"entries": [{}] * 26}).encode(),
        b"\xff\xfe", b'{"entries": []}' + b" " * 2_000_001,
    ],
    ids=range(13),
)  # fmt: skip
def test_a_body_that_is_none_is_refused_as_a_whole(body):
    answer = Phone().post(body)

    assert answer.status_code == 400
    assert answer.json()["text"]


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"id": "7"}, "id"), ({"id": None}, "id"), ({"kind": "sabotage"}, "kind"),
        ({"age_s": "soon"}, "age_s"), ({"age_s": -1}, "age_s"), ({"age_s": 1e999}, "age_s"),
        ({"body": []}, "body"), ({"body": None}, "body"),
    ],
)  # fmt: skip
def test_an_entry_that_says_nothing_sensible_names_the_field(change, named):
    phone = Phone()
    told = begin() | change

    (result,) = phone.send(told)

    assert (result["outcome"], result["code"]) == ("refused", "invalid")
    assert named in result["text"]


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"position_m": "NaN"}, "position_m"), ({"position_m": 1e999}, "position_m"),
        ({"offset_mm": 1e9}, "offset_mm"), ({"side": "up"}, "side"), ({"run": "sideways"}, "run"),
        ({"station": "x" * 49}, "station"), ({"station": "R\x005"}, "station"),
        ({"load": None}, "load"), ({"degree": "very"}, "degree"), ({"beside": "all"}, "beside"),
        ({"persistence": 3}, "persistence"),
    ],
)  # fmt: skip
def test_a_look_that_cannot_be_read_names_the_field(change, named):
    phone = Phone()
    walk = begin()

    results = phone.send(walk, look(walk, **change))

    assert results[1]["outcome"] == "refused"
    assert named in results[1]["text"]


@pytest.mark.parametrize("told", [7, None, "x", [], {}])
def test_an_entry_that_is_no_entry_is_refused_beside_the_others(told):
    walk = begin()

    results = Phone().send(told, walk)

    assert [one["outcome"] for one in results] == ["refused", "kept"]


def test_taps_that_are_none_are_refused():
    from tests.diagnostics.pocket.entries import entry

    body = {
        "station": "R5", "run": "return", "position_m": 76, "load": "loaded",
        "taps": [[1, "jump"]], "duration_s": 60, "cautions_read": True,
    }  # fmt: skip

    (result,) = Phone().send(entry("taps", body))

    assert "taps" in result["text"]
    assert "over-left" in result["text"]


def test_the_app_s_page_holds_nothing_of_anybody():
    phone = Phone()

    mine = phone.client.get(reverse("walk-app-case", args=[phone.case.number]))
    strangers = Client().get(reverse("walk-app"))

    assert mine.content == strangers.content
    assert "Set-Cookie" not in strangers


def test_the_service_worker_names_every_file_and_a_version():
    answer = Client().get(reverse("service-worker"))
    text = answer.content.decode()

    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Cache-Control"] == "no-cache"
    assert "/static/diagnostics/pocket/outbox.js" in text
    assert '"page": "/walk/"' in text


def test_the_manifest_makes_an_app_of_the_walk_down():
    told = Client().get(reverse("app-manifest")).json()

    assert (told["start_url"], told["scope"], told["display"]) == ("/walk/", "/walk/", "standalone")
    assert {one["sizes"] for one in told["icons"]} >= {"192x192", "512x512"}
