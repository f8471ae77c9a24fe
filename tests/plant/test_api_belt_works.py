"""/api/v1/conveyors/<tag>/belt-works."""

from http import HTTPStatus

import pytest
from django.test import Client

from plant.models import ApiKey, Conveyor, Plant
from plant.roles import Role
from plant.services import belt_works, keys
from tests.plant.belt_rows import WORKED_AT as NOW
from tests.plant.belt_rows import turn_belt
from tests.plant.factories import make_complete_conveyor, make_person, make_plant

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/conveyors/q30/belt-works"


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return make_complete_conveyor(plant, tag="Q30")


def ask(plant: Plant, scope: ApiKey.Scope = ApiKey.Scope.REGISTER_READ, **asked: str):
    _key, secret = keys.make_key(
        name="stores", plant=plant, scopes=[scope], expires_at=None, by=None, now=NOW
    )
    return Client().get(ADDRESS, asked, headers={"Authorization": f"Api-Key {secret}"})


def test_work_on_a_belt_is_told_with_who_did_it_and_whether_it_was_undone(plant, conveyor):
    by = make_person(Role.PLANNER, plants=[plant], display_name="Odile Brannock")
    belt = conveyor.belts.get()
    work = turn_belt(conveyor, by, note="worn edge")

    (told,) = ask(plant).json()["results"]

    assert (told["plant"], told["conveyor"], told["belt"]) == (plant.code, "Q30", "Belt of 2024")
    assert (told["kind"], told["done_on"], told["note"]) == ("turned", "2026-03-10", "worn edge")
    assert (told["kept_by"], told["undone_at"]) == ("Odile Brannock", None)
    assert told["figures"]

    belt_works.undo_work(conveyor_id=conveyor.pk, belt_id=belt.pk, work_id=work.pk, by=by, now=NOW)
    assert ask(plant).json()["results"][0]["undone_at"] == "2026-03-10T08:00:00Z"
    assert ask(plant, kind="turned").json()["results"]
    assert ask(plant, kind="section_cut_out").json()["results"] == []


def test_another_plant_an_odd_filter_and_another_scope_are_refused(plant, conveyor):
    assert ask(make_plant()).status_code == HTTPStatus.NOT_FOUND
    assert ask(plant, kind="ironed").status_code == HTTPStatus.BAD_REQUEST
    assert ask(plant, ApiKey.Scope.METERS_READ).status_code == HTTPStatus.FORBIDDEN
