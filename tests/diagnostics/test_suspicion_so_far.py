"""While a person walks: what is suspected after each look, and where the next look tells most."""

import re

import pytest
from django.urls import reverse

from diagnostics.services import diagnosing
from tests.diagnostics.factories import (
    later,
    look,
    make_case,
    make_conveyor,
    make_walk_down,
    walk_with_trouble_on_return,
)

pytestmark = pytest.mark.django_db


def station_page(client, walk_down):
    response = client.get(reverse("walk-down", args=[walk_down.pk]))
    return response.content.decode()


def test_a_walk_that_has_just_begun_suspects_nothing(plant, technician):
    walk_down = make_walk_down(make_case(make_conveyor(plant)))

    assert "Suspected so far" not in station_page(technician, walk_down)


def test_the_station_page_shows_the_first_classes_and_leads_to_the_best_next_look(
    plant, technician
):
    walk_down = make_walk_down(make_case(make_conveyor(plant)))
    look(walk_down, "R5", 76.0, degree=None, offset_mm=60.0)
    look(walk_down, "R9", 88.0, degree=None, offset_mm=40.0)
    made = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=1))
    first = made.answer["classes"][0]

    page = station_page(technician, walk_down)

    assert "Suspected so far" in page
    assert page.count('class="share"') == 3
    assert f"{100 * first['probability']:.0f}" in page
    station = re.search(r'href="\?station=([^"#]+)#look">([^<]+) at ', page)
    assert station.group(1) == station.group(2)
    assert technician.get(
        reverse("walk-down", args=[walk_down.pk]), {"station": station.group(1)}
    ).context["place"]


def test_a_look_that_is_not_counted_yet_is_said_to_wait(plant, technician):
    walk_down = walk_with_trouble_on_return(make_case(make_conveyor(plant)))
    diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=1))
    look(walk_down, "R18", 115.0, degree=None, offset_mm=-80.0, now=later(hours=2))

    assert "The last look is not counted yet." in station_page(technician, walk_down)
