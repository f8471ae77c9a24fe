"""The walk-down as a person makes it: one tap a station, sides as seen, units, second thoughts."""

import re
import uuid
from http import HTTPStatus

import pytest
from django.urls import reverse

from diagnostics.models import Sighting, WalkDown
from diagnostics.services import walking
from tests.diagnostics.factories import (
    NOW,
    make_case,
    make_conveyor,
    make_walk_down,
)

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


def test_start_page_shows_the_cautions_first_and_opens_nothing_before_they_are_read(
    technician, case
):
    start = reverse("walk-down-new", args=[case.number])
    page = technician.get(start).content.decode()
    said = {"facing": "head", "load": "loaded"}

    refused = technician.post(start, said)

    assert page.index('class="caution"') < page.index('name="cautions_read"')
    assert "Stay outside the guards" in page
    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert "Read the cautions" in refused.content.decode()
    assert not WalkDown.objects.exists()

    opened = technician.post(start, {**said, "cautions_read": "on"})

    assert opened["Location"] == address(WalkDown.objects.get())


def test_belt_that_stands_still_is_recorded_with_its_reason(technician, case):
    technician.post(
        reverse("walk-down-new", args=[case.number]),
        {
            "facing": "head",
            "load": "empty",
            "cautions_read": "on",
            "stopped_reason": "waits for a ship",
        },
    )

    walk_down = WalkDown.objects.get()
    assert walk_down.finished_at is not None
    page = technician.get(address(walk_down, "walk-down-summary")).content.decode()
    assert "waits for a ship" in page


def test_direction_is_asked_on_reversing_belts_only(technician, plant, case):
    reversing = make_case(make_conveyor(plant, is_reversing=True))

    def page(one):
        return technician.get(reverse("walk-down-new", args=[one.number])).content.decode()

    assert "It runs backwards" in page(reversing)
    assert "It runs backwards" not in page(case)


def test_route_begins_at_the_tail_then_follows_the_flow_and_comes_back(technician, walk_down):
    page = technician.get(address(walk_down))

    stops = [stop.place for stop in page.context["route"].stops]
    assert page.context["place"].station == "TP"
    positions = [place.position_m for place in stops[1:]]
    assert positions == sorted(positions)
    assert stops[1].run == "carrying"
    assert stops[-1].run == "return"
    turns = [stop for stop in page.context["route"].stops if stop.is_turn]
    assert [stop.place.run for stop in turns] == ["return"]
    assert turns[0].place.position_m > 60


def test_one_tap_keeps_a_look_and_goes_to_the_next_stop(technician, walk_down):
    response = tap(technician, walk_down, "half left", station="", at="2")

    sighting = Sighting.objects.get()
    assert (sighting.degree, sighting.side, sighting.load) == ("half", "left", "loaded")
    assert sighting.station == "I1"
    assert response["Location"] == f"{address(walk_down)}?at=3#look"


@pytest.mark.parametrize("station", ["I20", "R5"])
@pytest.mark.parametrize(
    ("facing", "seen", "side"),
    [
        ("head", "left", "left"),
        ("head", "right", "right"),
        ("tail", "left", "right"),
        ("tail", "right", "left"),
    ],
)
def test_side_is_turned_only_for_who_faces_the_tail_on_either_run(
    technician, walk_down, station, facing, seen, side
):
    tap(technician, walk_down, f"slight {seen}", facing=facing, station=station)

    assert Sighting.objects.get().side == side


@pytest.mark.parametrize("facing", ["head", "tail"])
def test_buttons_carry_the_conveyors_own_word_for_the_side_seen(technician, case, facing):
    walk_down = make_walk_down(case, facing=facing)

    page = technician.get(address(walk_down), {"station": "R5"}).content.decode()

    left, right = re.findall(r'<span class="own">([^<]+)</span>', page)
    assert (left, right) == (
        ("sea side", "shed side") if facing == "head" else ("shed side", "sea side")
    )


def test_look_made_on_a_page_from_before_turning_round_keeps_the_side_it_showed(
    technician, walk_down
):
    walking.change_pass(walk_down_id=walk_down.pk, how=walking.Pass(facing="tail"), now=NOW)

    tap(technician, walk_down, "half left", facing="head")

    assert Sighting.objects.get().side == "left"


@pytest.mark.parametrize(
    ("changes", "offset_mm"),
    [
        ({"offset": "45", "offset_side": "right"}, 45),
        ({"offset": "45 mm", "offset_side": "left"}, -45),
        ({"offset": "1 3/4 in", "offset_side": "right"}, 44.45),
        ({"offset": "-30 mm", "offset_side": ""}, -30),
        ({"offset": "45", "offset_side": "left", "facing": "tail"}, 45),
        ({"offset": "-30 mm", "offset_side": "", "facing": "tail"}, -30),
    ],
)
def test_offset_is_kept_in_mm_with_the_sign_of_the_record(
    technician, walk_down, changes, offset_mm
):
    tap(technician, walk_down, "offset", **changes)

    assert Sighting.objects.get().offset_mm == pytest.approx(offset_mm)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"seen": "offset", "offset": "a lot", "offset_side": "left"}, "a figure in mm or inches"),
        ({"seen": "offset", "offset": "NaN", "offset_side": "left"}, "a figure in mm or inches"),
        ({"seen": "offset", "offset": "5 ft", "offset_side": "left"}, "a figure in mm or inches"),
        ({"seen": "offset", "offset": "45", "offset_side": ""}, "to which side"),
        ({"seen": "offset", "offset": "-45", "offset_side": "left"}, "not both"),
        ({"seen": "offset", "offset": "45", "offset_side": "up"}, "Select a valid choice"),
        ({"seen": "sideways"}, "Say centred"),
        ({"seen": "half"}, "Say centred"),
        ({"seen": "half up"}, "Say centred"),
        ({"seen": "centred left"}, "Say centred"),
        ({"seen": "not seen", "not_seen_reason": " "}, "Say why"),
        ({"load": "half full"}, "Select a valid choice"),
        ({"facing": "up"}, "Select a valid choice"),
        ({"persistence": "often"}, "Select a valid choice"),
        ({"client_id": "7"}, "valid UUID"),
    ],
)
def test_bad_look_is_refused_with_its_field_and_kept_on_the_page(
    technician, walk_down, changes, says
):
    response = (
        tap(technician, walk_down, "half left", note="my note", **changes)
        if ("seen" not in changes)
        else tap(technician, walk_down, changes.pop("seen"), note="my note", **changes)
    )

    page = response.content.decode()
    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert says in page
    assert "my note" in page
    assert not Sighting.objects.exists()


def test_offset_beyond_the_clearance_is_kept_marked_and_asked_about(technician, walk_down):
    response = technician.get(
        tap(technician, walk_down, "offset", offset="140", offset_side="left")["Location"]
    )

    assert Sighting.objects.get().offset_mm == -140
    page = response.content.decode()
    assert "beyond the edge clearance of 100 mm" in page
    assert "Take back" in page


def test_tap_sent_twice_is_kept_once(technician, walk_down):
    client_id = str(uuid.uuid4())

    tap(technician, walk_down, "half left", client_id=client_id)
    tap(technician, walk_down, "half left", client_id=client_id)

    assert Sighting.objects.count() == 1


def test_other_tap_from_a_page_gone_back_to_is_told_not_swallowed(technician, walk_down):
    client_id = str(uuid.uuid4())
    tap(technician, walk_down, "half left", client_id=client_id)

    response = tap(technician, walk_down, "slight right", client_id=client_id)

    assert (
        "was kept already, with another look"
        in technician.get(response["Location"]).content.decode()
    )
    assert Sighting.objects.get().degree == "half"


def test_station_out_of_reach_is_kept_with_its_reason(technician, walk_down):
    tap(technician, walk_down, "not seen", not_seen_reason="guarded")

    assert Sighting.objects.get().not_seen_reason == "guarded"


def test_persistence_goes_with_the_tap(technician, walk_down):
    tap(technician, walk_down, "half left", persistence="comes-and-goes")

    assert Sighting.objects.get().persistence == "comes-and-goes"
