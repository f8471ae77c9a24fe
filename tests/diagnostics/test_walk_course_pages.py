"""The course of a walk-down: other stations, second thoughts, the finish, who may."""

import uuid
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.case_states import CaseState
from diagnostics.models import Sighting
from diagnostics.services import cases, walking
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    look,
    make_bare_conveyor,
    make_case,
    make_conveyor,
    make_person,
    make_plant,
    make_walk_down,
)
from tests.diagnostics.note_rows import write
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(plant):
    return make_case(make_conveyor(plant))


@pytest.fixture
def walk_down(case):
    return make_walk_down(case)


def address(walk_down, name="walk-down"):
    return reverse(name, args=[walk_down.pk])


def tap(client, walk_down, seen, **changes):
    """What a button of the page sends."""
    given = {
        "seen": seen,
        "client_id": str(uuid.uuid4()),
        "facing": walk_down.facing,
        "load": walk_down.load,
        "station": "R5",
        "persistence": "",
    }
    return client.post(address(walk_down), {**given, **changes})


def test_any_station_is_reached_by_name_and_a_mistyped_one_gets_its_nearest(technician, walk_down):
    named = technician.get(address(walk_down), {"station": "r7"})
    mistyped = technician.get(address(walk_down), {"station": "RR7"})

    assert named.context["place"].station == "R7"
    assert mistyped.status_code == HTTPStatus.NOT_FOUND
    assert "?station=R7" in mistyped.content.decode()


@pytest.mark.parametrize(
    ("position", "station"), [("76.0", "R5"), ("76,1", "R5"), ("77.5", "77.5 m"), ("0", "0.0 m")]
)
def test_any_place_is_reached_by_its_loop_position(technician, walk_down, position, station):
    page = technician.get(address(walk_down), {"position": position})

    assert page.context["place"].station == station


@pytest.mark.parametrize("position", ["-1", "5000", "NaN", "inf", "far", "1e400"])
def test_place_off_the_loop_is_not_there(technician, walk_down, position):
    response = technician.get(address(walk_down), {"position": position})
    sent = tap(technician, walk_down, "half left", station="", position=position)

    assert response.status_code == HTTPStatus.NOT_FOUND
    assert sent.status_code == HTTPStatus.BAD_REQUEST
    assert not Sighting.objects.exists()


@pytest.mark.parametrize("at", ["0", "999", "x", "-1", "9" * 20])
def test_stop_that_is_none_leads_to_the_next_one(technician, walk_down, at):
    response = technician.get(address(walk_down), {"at": at})

    assert response.status_code == HTTPStatus.OK
    assert response.context["stop"].number == 1


def test_look_is_taken_back_from_the_page_and_stays_readable(technician, walk_down):
    sighting = look(walk_down)

    for _pressed_twice in range(2):
        technician.post(reverse("look-counts", args=[walk_down.pk, sighting.pk]), {"counts": "no"})
        sighting.refresh_from_db()
        assert sighting.taken_back_at is not None
    summary = technician.get(address(walk_down, "walk-down-summary")).content.decode()
    assert "is-taken-back" in summary
    assert '<input type="hidden" name="counts" value="yes">' in summary
    assert "Count again" in summary


def test_look_of_an_ended_case_is_not_taken_back(technician, walk_down, case):
    sighting = look(walk_down)
    cases.move_case(case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="twice")

    response = technician.post(
        reverse("look-counts", args=[walk_down.pk, sighting.pk]),
        {"counts": "no", "to": "summary"},
        follow=True,
    )

    assert "is cancelled" in response.content.decode()
    sighting.refresh_from_db()
    assert sighting.taken_back_at is None


def test_look_of_another_walk_down_is_not_taken_back(technician, walk_down, case):
    other = look(make_walk_down(case))

    response = technician.post(
        reverse("look-counts", args=[walk_down.pk, other.pk]), {"counts": "no"}
    )

    assert response.status_code == HTTPStatus.NOT_FOUND


def test_turning_round_and_emptying_the_belt_is_one_tap_each(technician, walk_down):
    response = technician.post(address(walk_down, "walk-down-pass"), {"facing": "tail", "at": "7"})
    technician.post(address(walk_down, "walk-down-pass"), {"load": "empty"})
    technician.post(address(walk_down, "walk-down-pass"), {"load": "molten", "facing": "up"})

    walk_down.refresh_from_db()
    assert (walk_down.facing, walk_down.load) == ("tail", "empty")
    assert response["Location"] == f"{address(walk_down)}?at=7#look"


def test_belt_seen_in_the_other_load_state_opens_the_route_again(technician, walk_down):
    technician.get(address(walk_down))
    look(walk_down, "TP", 121.257)
    walking.change_pass(walk_down_id=walk_down.pk, how=walking.Pass(load="empty"), now=NOW)

    page = technician.get(address(walk_down))

    assert page.context["place"].station == "TP"


def test_remarks_are_ticked_for_the_whole_walk_down(technician, walk_down):
    technician.post(
        address(walk_down, "walk-down-remarks"),
        {"remarks": ["with wind", "when wet"], "note": "gusty"},
    )

    walk_down.refresh_from_db()
    assert (walk_down.remarks, walk_down.note) == (["with wind", "when wet"], "gusty")
    refused = technician.post(address(walk_down, "walk-down-remarks"), {"remarks": ["by magic"]})
    assert refused.status_code == HTTPStatus.BAD_REQUEST


def test_finish_leads_to_the_summary_and_can_be_taken_back(technician, walk_down):
    look(walk_down)

    response = technician.post(address(walk_down, "walk-down-finish"))
    summary = technician.get(response["Location"]).content.decode()
    closed = technician.get(address(walk_down))

    assert "half right (shed side)" in summary
    assert "Stops of the route not looked at" in summary
    assert closed["Location"] == address(walk_down, "walk-down-summary")
    technician.post(address(walk_down, "walk-down-go-on"))
    assert technician.get(address(walk_down)).status_code == HTTPStatus.OK


def test_walk_down_of_an_ended_case_does_not_go_on(technician, walk_down):
    walking.finish_walk_down(walk_down_id=walk_down.pk, now=NOW)
    cases.move_case(
        case_id=walk_down.case_id, to_state=CaseState.CANCELLED, by=None, now=NOW, why="x"
    )

    technician.post(address(walk_down, "walk-down-go-on"))

    walk_down.refresh_from_db()
    assert walk_down.finished_at is not None


def test_belt_that_stopped_on_the_way_runs_again(technician, case):
    walk_down = make_walk_down(case, stopped_reason="power cut")

    page = technician.get(address(walk_down)).content.decode()
    refused = tap(technician, walk_down, "half left")
    technician.post(address(walk_down, "walk-down-pass"), {"runs_again": "yes"})

    assert "power cut" in page
    assert refused.status_code == HTTPStatus.CONFLICT
    assert tap(technician, walk_down, "half left").status_code == HTTPStatus.FOUND


def test_belt_without_a_registered_loop_is_walked_by_names_and_positions(technician, plant):
    walk_down = make_walk_down(make_case(make_bare_conveyor(plant)))
    place = {"station": "by the shed", "position": "40", "run": "return"}

    page = technician.get(address(walk_down)).content.decode()
    kept = tap(technician, walk_down, "half left", **place)
    refused = tap(technician, walk_down, "half left", station="by the shed", position="-4", run="")

    assert "there is no route" in page
    assert kept.status_code == HTTPStatus.FOUND
    assert Sighting.objects.get().position_m == 40
    assert refused.status_code == HTTPStatus.BAD_REQUEST


def test_last_look_of_the_route_leads_to_the_summary(technician, walk_down):
    stops = technician.get(address(walk_down)).context["route"].stops
    for stop in stops[:-1]:
        look(walk_down, stop.place.station, stop.place.position_m, run=stop.place.run)

    response = tap(technician, walk_down, "centred", station="", at=str(len(stops)))

    assert response["Location"] == address(walk_down, "walk-down-summary")


def test_look_off_the_route_leads_to_the_stop_that_follows_it(technician, walk_down):
    response = tap(technician, walk_down, "centred", station="", position="77.5")

    onward = technician.get(response["Location"]).context["stop"]
    assert onward.place.position_m > 77.5
    assert onward.place.run == "return"


def test_station_page_needs_a_fixed_number_of_queries(
    technician, walk_down, django_assert_max_num_queries
):
    for number in range(1, 18):
        look(walk_down, f"R{number}", 64 + 3 * (number - 1))
        write(walk_down.case, f"note {number}", component="R", photos=int(number > 14))

    with django_assert_max_num_queries(16):
        page = technician.get(f"{address(walk_down)}?station=R5").content.decode()

    assert "note 17" in page
    assert "12 more" in page


_CHANGES = ["walk-down", "walk-down-pass", "walk-down-remarks", "walk-down-finish"]


@pytest.mark.parametrize("name", [*_CHANGES, "walk-down-go-on"])
def test_clerk_reads_a_walk_down_but_changes_nothing(plant, walk_down, name):
    clerk = signed_in(make_person(Role.CLERK, plant))

    assert clerk.get(address(walk_down, "walk-down-summary")).status_code == HTTPStatus.OK
    assert clerk.post(address(walk_down, name)).status_code == HTTPStatus.FORBIDDEN


@pytest.mark.parametrize("name", [*_CHANGES, "walk-down-go-on", "walk-down-summary"])
def test_walk_down_of_another_plant_is_not_there(walk_down, name):
    client = signed_in(make_person(Role.TECHNICIAN, make_plant()))

    response = client.post(address(walk_down, name))

    assert response.status_code in (HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED)
    assert client.get(address(walk_down, "walk-down-summary")).status_code == 404


def test_stranger_is_sent_to_sign_in(walk_down):
    response = Client().get(address(walk_down))

    assert response["Location"].startswith(reverse("sign-in"))


def test_every_caution_of_the_walk_is_in_the_catalogue():
    from diagnostics import knowledge_files
    from diagnostics.walking_cautions import WALKING

    assert set(WALKING) <= set(knowledge_files.current().cautions)
