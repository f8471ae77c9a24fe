"""The description of the API tells what webhooks send, as they send it."""

import json
from typing import Any

import jsonschema
import pytest
from django.utils import timezone

from plant.models import Feed, FeedChange
from plant.selectors import feed_pages
from plant.services import feed_numbering, webhook_bodies
from plant.webhooks import signatures
from tests.workorders import factories
from tests.workorders.test_api_description import described


def _sent(name: str) -> dict[str, Any]:
    told: dict[str, Any] = described()["webhooks"][name]["post"]
    return told


def _check(value: Any, schema: dict[str, Any]) -> None:
    jsonschema.Draft202012Validator({**schema, "components": described()["components"]}).validate(
        value
    )


def test_each_feed_that_can_be_sent_is_described() -> None:
    assert set(described()["webhooks"]) == {"work-orders", "complaints", "cases", "conveyors"}
    assert len(described()["webhooks"]) == len(Feed)


def test_the_headers_described_are_those_that_are_sent() -> None:
    secret = signatures.make_secret(lambda count: b"k" * count)
    headers = signatures.signed("7f5b", timezone.now(), "{}", [secret])

    told = _sent("work-orders")["parameters"]

    assert {one["name"] for one in told if one["in"] == "header"} == set(headers)
    for one in told:
        _check(headers[one["name"]], one["schema"])


@pytest.mark.django_db
def test_what_is_sent_of_an_order_fits_the_description() -> None:
    order = factories.make_order()
    feed_numbering.number_owed()
    plant = order.conveyor.plant
    changes = FeedChange.objects.filter(plant=plant, feed=Feed.WORK_ORDERS)
    number, at = changes.values_list("number", "numbered_at").latest("number")
    row = feed_pages.changes_by_number(changes, [number], at)[number]

    body = webhook_bodies.body_of(row, plant.code, None, set())

    schema = _sent("work-orders")["requestBody"]["content"]["application/json"]["schema"]
    assert isinstance(body, str)
    _check(json.loads(body), schema)


@pytest.mark.parametrize("name", ["work-orders", "complaints", "cases", "conveyors"])
def test_each_has_an_example_that_fits(name: str) -> None:
    content = _sent(name)["requestBody"]["content"]["application/json"]

    assert content["examples"]
    for one in content["examples"].values():
        _check(one["value"], content["schema"])
