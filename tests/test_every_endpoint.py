"""Every method of every endpoint of the API: its own plant's rows, with its scope, and no others.

What is asked of another plant's rows is known to be right: asked with that plant's key, it is done.
"""

from collections.abc import Iterator
from http import HTTPStatus
from typing import Any

import pytest
from django.apps import apps
from django.core import serializers
from django.db import transaction

from plant import access
from plant.models import ApiKey, Plant
from plant.models.feed import FeedChange
from tests.api_world import Endpoint, every_endpoint
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders.factories import make_key
from tests.world import World, make_world

pytestmark = pytest.mark.django_db
ENDPOINTS = every_endpoint()
LISTS = [one for one in ENDPOINTS if one.method == "GET" and not one.parameters]


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: Any) -> Iterator[World]:
    """Made once for this file and rolled back after it; each test takes back what it did."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield make_world()
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def elsewhere(world: World) -> Plant:
    plant = make_plant(code="XX")
    make_complete_conveyor(plant, tag="XX-1")
    return plant


@pytest.mark.parametrize("endpoint", ENDPOINTS, ids=str)
def test_a_key_of_the_plant_with_this_one_scope_is_answered(
    endpoint: Endpoint, world: World
) -> None:
    secret = make_key(world.plant, endpoint.scope)[1]

    response = endpoint.ask(world, secret)

    assert 200 <= response.status_code < 300, response.content


@pytest.mark.parametrize("endpoint", ENDPOINTS, ids=str)
def test_a_key_of_another_plant_finds_nothing_there(
    endpoint: Endpoint, world: World, elsewhere: Plant
) -> None:
    secret = make_key(elsewhere)[1]

    response = endpoint.ask(world, secret)

    if endpoint.parameters:
        assert response.status_code == HTTPStatus.NOT_FOUND, response.content
    elif endpoint.method == "GET":
        assert response.status_code == HTTPStatus.OK
        assert told_of(response) <= {elsewhere.code}
    else:
        # A body that names another plant's row names none.
        assert refused_or_empty(response), response.content


@pytest.mark.parametrize("endpoint", ENDPOINTS, ids=str)
def test_a_key_with_every_other_scope_is_refused(endpoint: Endpoint, world: World) -> None:
    others = [one.value for one in ApiKey.Scope if one != endpoint.scope]

    response = endpoint.ask(world, make_key(world.plant, *others)[1])

    assert response.status_code == HTTPStatus.FORBIDDEN
    assert response.json()["code"] == "scope_missing"


@pytest.mark.parametrize("endpoint", ENDPOINTS, ids=str)
def test_without_a_key_nothing_is_told(endpoint: Endpoint, world: World) -> None:
    assert endpoint.ask(world, "").status_code == HTTPStatus.UNAUTHORIZED


def test_nothing_another_plant_asks_changes_a_row(world: World, elsewhere: Plant) -> None:
    secret = make_key(elsewhere)[1]
    before = rows_of(world.plant)

    for endpoint in ENDPOINTS:
        endpoint.ask(world, secret)

    assert len(before) > 100
    assert rows_of(world.plant) == before


@pytest.mark.parametrize("endpoint", LISTS, ids=str)
def test_no_filter_leads_to_another_plant(
    endpoint: Endpoint, world: World, elsewhere: Plant
) -> None:
    secret = make_key(elsewhere)[1]
    asked = {
        "conveyor": world.values["tag"],
        "case": world.values["number"],
        "plant": world.plant.code,
    }
    for name, value in asked.items():
        response = endpoint.ask(world, secret, **{name: value})

        if response.status_code == HTTPStatus.OK:
            assert told_of(response) <= {elsewhere.code}
        else:
            # It has no such filter, or says that the row it names is not known.
            assert response.status_code == HTTPStatus.BAD_REQUEST, response.content


def told_of(response: Any) -> set[str]:
    """The plants whose rows a list shows."""
    return {row["plant"] for row in response.json()["results"]}


def refused_or_empty(response: Any) -> bool:
    if response.status_code == HTTPStatus.OK:
        # One answer an item, each with a status of its own.
        return all(one["status"] >= 400 for one in response.json()["results"])
    return 400 <= response.status_code < 500


def rows_of(plant: Plant) -> list[str]:
    """All rows that reach this plant, as they stand; the feed numbers its own when it is read."""
    kinds = [apps.get_model(label) for label in sorted(access._WAY_TO_PLANT)]
    one_plant = Plant.objects.filter(pk=plant.pk)
    return [
        serializers.serialize("json", [row])
        for kind in kinds
        if kind is not FeedChange
        for row in access.of_plants(kind.objects.all(), one_plant).order_by("pk")
    ]
