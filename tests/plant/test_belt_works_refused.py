"""What cannot be done to a belt is refused at its field, and nothing is changed."""

from datetime import timedelta

import pytest
from django.test import Client

from plant.models import Belt, Conveyor
from tests.plant.belt_pages import (
    CUT,
    TODAY,
    make_marked_conveyor,
    page,
    planner_of,
    splices,
    sure,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor() -> Conveyor:
    return make_marked_conveyor()


@pytest.fixture
def belt(conveyor) -> Belt:
    return conveyor.belts.get()


@pytest.fixture
def planner(conveyor) -> Client:
    return planner_of(conveyor)


MORROW = (TODAY + timedelta(days=3)).isoformat()


@pytest.mark.parametrize(
    ("name", "changed", "status", "field"),
    [
        ("belt-section-cut-out", {"from_m": "nan"}, 400, "from_m"),
        ("belt-section-cut-out", {"from_m": "-3"}, 400, "from_m"),
        ("belt-section-cut-out", {"from_m": "1e400"}, 400, "from_m"),
        ("belt-section-cut-out", {"to_m": "4000"}, 409, "to_m"),
        ("belt-section-cut-out", {"to_m": "20"}, 409, "to_m"),
        ("belt-section-cut-out", {"to_m": "19.9"}, 409, "to_m"),
        ("belt-section-cut-out", {"name": "s2"}, 409, "name"),
        ("belt-section-cut-out", {"name": "\x00"}, 400, "name"),
        ("belt-section-cut-out", {"name": "S" * 21}, 400, "name"),
        ("belt-section-cut-out", {"note": "n" * 201}, 400, "note"),
        ("belt-section-cut-out", {"done_on": "0001-01-01"}, 400, "done_on"),
        ("belt-section-cut-out", {"done_on": ""}, 400, "done_on"),
        ("belt-spliced", {"at_m": "105", "name": "S9"}, 409, "at_m"),
        ("belt-spliced", {"at_m": "210.5", "name": "S9"}, 409, "at_m"),
        ("belt-section-put-in", {"at_m": "5", "length_m": "99999", "second_name": "X"}, 409, None),
        ("belt-section-put-in", {"at_m": "5", "length_m": "3", "second_name": "S3"}, 409, "name"),
        ("belt-reference-moved", {"splice": "987654321"}, 400, "splice"),
        ("belt-reference-moved", {"splice": "9" * 40}, 400, "splice"),
        ("belt-turned", {"how": "inside out"}, 400, "how"),
    ],
)
def test_figures_that_cannot_be_are_refused_at_their_field(
    belt, planner, name, changed, status, field
):
    response = planner.post(page(belt, name), {**CUT, **changed})

    assert response.status_code == status
    if field:
        assert field in response.context["form"].errors
    assert splices(belt) == {"S1": 0, "S2": 105}


def test_a_day_to_come_is_refused_when_it_is_done(belt, planner):
    asked = {**CUT, "done_on": MORROW}
    shown = planner.post(page(belt, "belt-section-cut-out"), asked)

    response = planner.post(page(belt, "belt-section-cut-out"), sure(asked, shown))

    assert response.status_code == 409
    assert "done_on" in response.context["form"].errors
