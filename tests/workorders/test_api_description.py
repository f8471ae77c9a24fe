"""The description of the API holds: valid, complete, with examples, and true under fire."""

import json
from collections.abc import Iterator
from functools import cache
from http import HTTPStatus
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import schemathesis
from django.core.management import call_command
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.test import Client
from hypothesis import HealthCheck, Phase, seed, settings
from openapi_spec_validator import validate
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from diagnostics.models import Complaint
from plant.api.schema import openapi_document
from plant.metering.readings import WentOn
from tests.plant import attached, condition_rows, meter_rows
from tests.plant import factories as register
from tests.plant.belt_rows import turn_belt
from tests.workorders import booked_rows, factories, part_rows
from workorders.order_states import OrderState

DESCRIPTION = "/api/v1/openapi.json"
PROBLEM = "application/problem+json"


@cache
def described() -> dict[str, Any]:
    response = openapi_document(Client().get(DESCRIPTION).wsgi_request)
    return json.loads(response.content)


def operations() -> list[tuple[str, str, dict[str, Any]]]:
    return [
        (path, method, operation)
        for path, methods in described()["paths"].items()
        for method, operation in methods.items()
    ]


def test_anybody_reads_the_description_without_a_key() -> None:
    response = Client().get(DESCRIPTION)

    assert response.status_code == HTTPStatus.OK
    assert response["Content-Type"] == "application/json"
    assert response.json()["openapi"].startswith("3.1")


def test_the_description_is_valid_openapi() -> None:
    validate(described())


def test_it_is_written_to_a_file_without_a_warning(tmp_path: Path) -> None:
    written = tmp_path / "api.json"

    # Refuses with an error where a shape has to be given a name that was made up.
    call_command(
        "spectacular", validate=True, fail_on_warn=True, format="openapi-json", file=str(written)
    )

    assert json.loads(written.read_text())["openapi"].startswith("3.1")


def test_it_names_exactly_the_resources_there_are() -> None:
    assert {(path, method) for path, method, _operation in operations()} == {
        ("/api/v1/work-orders", "get"),
        ("/api/v1/work-orders/changes", "get"),
        ("/api/v1/work-orders", "post"),
        ("/api/v1/work-orders/bulk", "post"),
        ("/api/v1/complaints/bulk", "post"),
        ("/api/v1/findings/bulk", "post"),
        ("/api/v1/meter-readings/bulk", "post"),
        ("/api/v1/condition-readings/bulk", "post"),
        ("/api/v1/work-orders/{number}", "get"),
        ("/api/v1/work-orders/{number}/shifts", "get"),
        ("/api/v1/parts", "get"),
        ("/api/v1/due", "get"),
        ("/api/v1/work-orders/{number}", "patch"),
        ("/api/v1/work-orders/{number}/moves", "get"),
        ("/api/v1/work-orders/{number}/moves", "post"),
        ("/api/v1/work-orders/{number}/notes", "get"),
        ("/api/v1/work-orders/{number}/notes", "post"),
        ("/api/v1/work-orders/{number}/parts", "get"),
        ("/api/v1/work-orders/{number}/parts", "post"),
        ("/api/v1/work-orders/{number}/time", "get"),
        ("/api/v1/work-orders/{number}/time", "post"),
        ("/api/v1/work-orders/{number}/time/{id}", "get"),
        ("/api/v1/work-orders/{number}/time/{id}", "patch"),
        ("/api/v1/cases", "get"),
        ("/api/v1/cases/{number}", "get"),
        ("/api/v1/cases/changes", "get"),
        ("/api/v1/cases/{number}/findings", "get"),
        ("/api/v1/cases/{number}/findings", "post"),
        ("/api/v1/cases/{number}/findings/{id}", "get"),
        ("/api/v1/cases/{number}/findings/{id}", "patch"),
        ("/api/v1/cases/{number}/moves", "get"),
        ("/api/v1/cases/{number}/moves", "post"),
        ("/api/v1/complaints", "get"),
        ("/api/v1/complaints/changes", "get"),
        ("/api/v1/complaints", "post"),
        ("/api/v1/complaints/{id}", "get"),
        ("/api/v1/complaints/{id}", "patch"),
        ("/api/v1/conveyors", "get"),
        ("/api/v1/conveyors/changes", "get"),
        ("/api/v1/conveyors/{tag}", "get"),
        ("/api/v1/conveyors/{tag}/belts", "get"),
        ("/api/v1/conveyors/{tag}/belts/{id}", "get"),
        ("/api/v1/conveyors/{tag}/components/{id}", "get"),
        ("/api/v1/conveyors/{tag}/components", "get"),
        ("/api/v1/conveyors/{tag}/marks", "get"),
        ("/api/v1/conveyors/{tag}/roll-changes", "get"),
        ("/api/v1/conveyors/{tag}/splices", "get"),
        ("/api/v1/conveyors/{tag}/attachments", "get"),
        ("/api/v1/conveyors/{tag}/attachments/{id}", "get"),
        ("/api/v1/conveyors/{tag}/belt-works", "get"),
        ("/api/v1/conveyors/{tag}/condition-readings", "get"),
        ("/api/v1/conveyors/{tag}/condition-readings", "post"),
        ("/api/v1/conveyors/{tag}/condition-readings/{id}", "get"),
        ("/api/v1/conveyors/{tag}/condition-readings/{id}", "patch"),
        ("/api/v1/conveyors/{tag}/condition-readings/{id}", "delete"),
        ("/api/v1/conveyors/{tag}/history", "get"),
        ("/api/v1/conveyors/{tag}/meter-readings", "get"),
        ("/api/v1/conveyors/{tag}/meter-readings", "post"),
        ("/api/v1/conveyors/{tag}/meter-readings/{id}", "get"),
        ("/api/v1/conveyors/{tag}/meter-readings/{id}", "delete"),
    }


def test_every_operation_names_its_key_and_shows_errors_as_problem_documents() -> None:
    for path, method, operation in operations():
        assert operation["security"] == [{"ApiKey": []}], (path, method)
        failures = {
            status: response
            for status, response in operation["responses"].items()
            if status[0] not in "23"
        }
        assert set(failures) >= {"401", "403", "default"}
        assert all(list(one["content"]) == [PROBLEM] for one in failures.values())


def test_what_is_sent_holds_nothing_that_is_not_described() -> None:
    shapes = described()["components"]["schemas"]
    bodies = [
        one["requestBody"]["content"]
        for _path, _method, one in operations()
        if "requestBody" in one
    ]
    names = {body["application/json"]["schema"]["$ref"].rpartition("/")[2] for body in bodies}

    assert len(names) > 15
    assert [
        one for one in sorted(names) if shapes[one].get("additionalProperties") is not False
    ] == []


def test_every_answer_has_an_example_that_fits_its_schema() -> None:
    for path, method, operation in operations():
        for status, response in operation["responses"].items():
            content = response.get("content", {}).get("application/json")
            if not status.startswith("2") or content is None:
                continue
            assert content["examples"], (path, method)
            for example in content["examples"].values():
                schema = {**content["schema"], "components": described()["components"]}
                jsonschema.validate(example["value"], schema)


def test_every_body_that_is_sent_has_an_example_that_fits_its_schema() -> None:
    without = []
    for path, method, operation in operations():
        for content in operation.get("requestBody", {}).get("content", {}).values():
            if not content.get("examples"):
                without.append((path, method))
            for example in content.get("examples", {}).values():
                schema = {**content["schema"], "components": described()["components"]}
                jsonschema.validate(example["value"], schema)

    assert without == []


def test_every_operation_and_parameter_says_what_it_is_for() -> None:
    ids = [operation["operationId"] for _path, _method, operation in operations()]

    assert len(ids) == len(set(ids))
    for path, method, operation in operations():
        assert operation["summary"], (path, method)
        assert operation["description"], (path, method)
        for parameter in operation.get("parameters", ()):
            assert "$ref" in parameter or parameter.get("description"), (path, parameter["name"])


def test_every_answer_tells_how_much_the_key_may_still_ask() -> None:
    for path, method, operation in operations():
        for status, response in operation["responses"].items():
            assert {"RateLimit", "RateLimit-Policy"} <= set(response["headers"]), (path, method)
            assert status != "429" or "Retry-After" in response["headers"]


def test_nothing_of_how_it_is_made_shows_in_the_description() -> None:
    text = json.dumps(described())

    assert "plant/api" not in text
    assert "`scopes`" not in text


@pytest.fixture
def connection_stays_open() -> Iterator[None]:
    """A request would close the connection that holds this test's transaction."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.fixture
def site(connection_stays_open: None) -> str:
    """A plant with something of every kind; returns a key that may do everything."""
    plant = register.make_plant(code="LT")
    conveyor = register.make_complete_conveyor(plant, tag="Q30")
    order = factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))
    factories.bring_to(order, OrderState.PROVED)
    factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))
    factories.make_order_by_hand(conveyor)
    booked_rows.make_booking(order)
    booked_rows.make_note(order, None)
    part_rows.need(order, part_rows.make_part(plant, "4"), "2")
    meter_rows.keep(conveyor, 0, None, went_on=WentOn.REPLACED, new_meter_first="3")
    condition_rows.read(conveyor, "Head pulley", 9.5)
    turn_belt(conveyor)
    attached.attach_pdf(conveyor)
    attached.attach_picture(conveyor, conveyor.components.first())
    return factories.make_key(plant)[1]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("path", "address"),
    [
        ("/api/v1/work-orders", "/api/v1/work-orders"),
        ("/api/v1/work-orders/{number}", "/api/v1/work-orders/LT-W-0001"),
        ("/api/v1/work-orders/{number}", "/api/v1/work-orders/LT-W-0003"),
        ("/api/v1/work-orders/{number}/moves", "/api/v1/work-orders/LT-W-0001/moves"),
        ("/api/v1/work-orders/{number}/notes", "/api/v1/work-orders/LT-W-0001/notes"),
        ("/api/v1/work-orders/{number}/parts", "/api/v1/work-orders/LT-W-0001/parts"),
        ("/api/v1/work-orders/{number}/time", "/api/v1/work-orders/LT-W-0001/time"),
        ("/api/v1/work-orders/changes", "/api/v1/work-orders/changes"),
        ("/api/v1/cases", "/api/v1/cases"),
        ("/api/v1/cases/changes", "/api/v1/cases/changes"),
        ("/api/v1/complaints/changes", "/api/v1/complaints/changes"),
        ("/api/v1/conveyors", "/api/v1/conveyors"),
        ("/api/v1/conveyors/changes", "/api/v1/conveyors/changes"),
        ("/api/v1/conveyors/{tag}/belts", "/api/v1/conveyors/Q30/belts"),
        ("/api/v1/conveyors/{tag}/components", "/api/v1/conveyors/Q30/components"),
        ("/api/v1/complaints", "/api/v1/complaints"),
        ("/api/v1/complaints/{id}", "/api/v1/complaints/{id}"),
        ("/api/v1/conveyors/{tag}/meter-readings", "/api/v1/conveyors/Q30/meter-readings"),
        ("/api/v1/conveyors/{tag}/condition-readings", "/api/v1/conveyors/Q30/condition-readings"),
        ("/api/v1/conveyors/{tag}/belt-works", "/api/v1/conveyors/Q30/belt-works"),
        ("/api/v1/conveyors/{tag}/attachments", "/api/v1/conveyors/Q30/attachments"),
    ],
)
def test_what_really_comes_back_fits_the_description(site: str, path: str, address: str) -> None:
    address = address.format(id=Complaint.objects.first().pk)
    response = Client().get(address, headers={"Authorization": f"Api-Key {site}"})
    operation = described()["paths"][path]["get"]
    schema = operation["responses"]["200"]["content"]["application/json"]["schema"]

    assert response.status_code == HTTPStatus.OK
    jsonschema.validate(response.json(), {**schema, "components": described()["components"]})


SCHEMA = schemathesis.openapi.from_wsgi(DESCRIPTION, get_wsgi_application())
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]


@pytest.mark.django_db
@seed(20261125)
@settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@SCHEMA.parametrize()
def test_whatever_is_asked_the_answer_is_as_described(case: Any, site: str) -> None:
    # Called without a server in between, nothing unpacks the answer.
    headers = {"Authorization": f"Api-Key {site}", "Accept-Encoding": "identity"}
    case.call_and_validate(headers=headers, checks=CHECKS)
