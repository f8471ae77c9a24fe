"""GET /api/v1/conveyors and what stands on them: the snapshot behind the register's changes."""

from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client

from plant.models import Plant
from tests.plant import factories
from tests.workorders.factories import make_key

pytestmark = pytest.mark.django_db
CONVEYORS = "/api/v1/conveyors"


@pytest.fixture
def plant() -> Plant:
    return factories.make_plant(code="LT")


@pytest.fixture
def secret(plant: Plant) -> str:
    return make_key(plant)[1]


def get(secret: str, address: str, **query: Any) -> Any:
    response = Client().get(address, query, headers={"Authorization": f"Api-Key {secret}"})
    assert response.status_code == HTTPStatus.OK, response.content
    return response.json()


def every(secret: str, address: str, limit: int) -> list[dict[str, Any]]:
    answer = get(secret, address, limit=limit)
    found = answer["results"]
    while answer["next"]:
        answer = get(secret, answer["next"])
        found += answer["results"]
    return found


@pytest.mark.parametrize("limit", [1, 2, 200])
def test_pages_give_every_conveyor_once_in_the_order_added(
    plant: Plant, secret: str, limit: int
) -> None:
    tags = ["Z9", "A1", "M5", "B2", "Q30"]
    made = [factories.make_conveyor(plant, tag=tag) for tag in tags]
    made[1].save()

    assert [one["tag"] for one in every(secret, CONVEYORS, limit)] == tags


def test_components_and_belts_of_a_conveyor_are_listed_by_its_tag(
    plant: Plant, secret: str
) -> None:
    conveyor = factories.make_complete_conveyor(plant, tag="Q30")
    factories.make_complete_conveyor(plant, tag="Q31")

    components = every(secret, f"{CONVEYORS}/q30/components", 3)
    (belt,) = every(secret, f"{CONVEYORS}/Q30/belts", 3)

    assert len(components) == conveyor.components.count()
    assert {one["conveyor"] for one in components} == {"Q30"}
    idlers = next(one for one in components if one["name"] == "C")
    assert (idlers["kind"], idlers["run"]) == ("troughing_idlers", "carrying")
    assert (idlers["loop_position_m"], idlers["spacing_m"], idlers["count"]) == (6.0, 1.5, 60)
    assert (belt["length_m"], belt["carcass"], belt["removed_on"]) == (210.5, "EP", None)


def test_empty_texts_are_null_and_figures_carry_their_unit(plant: Plant, secret: str) -> None:
    factories.make_conveyor(plant, tag="Q30", nicknames=["the quay belt"])

    (told,) = get(secret, CONVEYORS)["results"]

    assert (told["area"], told["note"], told["consequence"], told["retired_on"]) == (None,) * 4
    assert (told["speed_mps"], told["clearance_mm"]) == (2.5, 100.0)
    assert (told["take_up"], told["nicknames"]) == ("gravity", ["the quay belt"])


@pytest.mark.parametrize(
    "address",
    [
        f"{CONVEYORS}/Q99/{rows}"
        for rows in ("components", "belts", "splices", "marks", "roll-changes")
    ],
)
def test_an_unknown_tag_is_not_there(secret: str, address: str) -> None:
    response = Client().get(address, headers={"Authorization": f"Api-Key {secret}"})

    assert response.status_code == HTTPStatus.NOT_FOUND


def test_a_list_takes_the_same_number_of_queries_however_long(
    plant: Plant, secret: str, django_assert_max_num_queries: Any
) -> None:
    for _ in range(4):
        factories.make_conveyor(plant)
    get(secret, CONVEYORS)

    with django_assert_max_num_queries(3):
        get(secret, CONVEYORS)
