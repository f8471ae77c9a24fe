"""/api/v1/complaints: what cannot be handed in, and how that is said."""

from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from diagnostics.models import Case, Complaint
from plant.models import ApiKey, Conveyor, Plant
from plant.services import keys
from tests.plant import factories as register

pytestmark = pytest.mark.django_db
LIST = "/api/v1/complaints"


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT")


@pytest.fixture
def belt(plant: Plant) -> Conveyor:
    return register.make_conveyor(plant, tag="Q30", name="Quay conveyor")


@pytest.fixture
def secret(plant: Plant) -> str:
    return keys.make_key(
        name="stores system",
        plant=plant,
        scopes=list(ApiKey.Scope),
        expires_at=None,
        by=None,
        now=timezone.now(),
    )[1]


def hand_in(secret: str, status: int = HTTPStatus.CREATED, **body: Any) -> Any:
    said = {"conveyor": "Q30", "words": "the quay belt is rubbing its frame again", **body}
    response = Client().post(
        LIST, said, "application/json", headers={"Authorization": f"Api-Key {secret}"}
    )
    assert response.status_code == status, response.content
    return response.json()


def test_an_unknown_tag_is_refused_with_the_nearest_known(secret: str, belt: Conveyor) -> None:
    problem = hand_in(secret, HTTPStatus.BAD_REQUEST, conveyor="Q3O")

    assert problem["errors"] == [
        {
            "field": "conveyor",
            "code": "unknown_conveyor",
            "detail": "No conveyor of this plant has the tag Q3O. Nearest: Q30.",
        }
    ]


def test_a_conveyor_of_another_plant_is_unknown_and_not_named(secret: str, belt: Conveyor) -> None:
    theirs = register.make_conveyor(register.make_plant(), tag="Q31")

    problem = hand_in(secret, HTTPStatus.BAD_REQUEST, conveyor=theirs.tag)

    assert "Q31." not in problem["detail"].replace("tag Q31.", "")
    assert not Complaint.objects.exists()


def test_a_retired_conveyor_takes_no_complaint(secret: str, belt: Conveyor) -> None:
    Conveyor.objects.update(retired_on="2026-01-01")

    problem = hand_in(secret, HTTPStatus.BAD_REQUEST)

    assert problem["errors"][0]["code"] == "unknown_conveyor"


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"words": ""}, "words"),
        ({"words": "   "}, "words"),
        ({"words": None}, "words"),
        ({"words": "x" * 2001}, "words"),
        ({"words": "a\x00b"}, "words"),
        ({"words": ["rubs"]}, "words"),
        ({"conveyor": "x" * 41}, "conveyor"),
        ({"conveyor": {"tag": "Q30"}}, "conveyor"),
        ({"how_bad": "awful"}, "how_bad"),
        ({"how_bad": None}, "how_bad"),
        ({"people_near": "a crowd"}, "people_near"),
        ({"roughly_where": "over there"}, "roughly_where"),
        ({"caller_name": "x" * 121}, "caller_name"),
        ({"shift": "x" * 41}, "shift"),
        ({"external_number": "x" * 81}, "external_number"),
        ({"new_problem": "perhaps"}, "new_problem"),
        ({"join_case": "LT-C-0001", "new_problem": True}, "new_problem"),
        ({"join_case": "LT-C-0001", "conveyor": None}, "join_case"),
    ],
)
def test_what_cannot_be_is_refused_by_field_and_nothing_is_kept(
    secret: str, belt: Conveyor, body: dict[str, Any], field: str
) -> None:
    problem = hand_in(secret, HTTPStatus.BAD_REQUEST, **body)

    assert problem["code"] == "invalid"
    assert field in {error["field"] for error in problem["errors"]}
    assert not Complaint.objects.exists()
    assert not Case.objects.exists()


@pytest.mark.parametrize("missing", ["words", "conveyor"])
def test_a_field_that_must_be_there_is_named(secret: str, belt: Conveyor, missing: str) -> None:
    body = {"conveyor": "Q30", "words": "rubs"}
    del body[missing]

    response = Client().post(
        LIST, body, "application/json", headers={"Authorization": f"Api-Key {secret}"}
    )

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert response.json()["errors"][0] == {
        "field": missing,
        "code": "required",
        "detail": "This field is required.",
    }


@pytest.mark.parametrize(
    ("body", "media_type", "status", "code"),
    [
        ("{", "application/json", 400, "parse_error"),
        ("", "application/json", 400, "invalid"),
        ('{"words": NaN, "conveyor": null}', "application/json", 400, "parse_error"),
        ("[]", "application/json", 400, "invalid"),
        ('"words"', "application/json", 400, "invalid"),
        ("[" * 100_000, "application/json", 400, "parse_error"),
        (b"\xff\xfe", "application/json", 400, "parse_error"),
        ('{"words": "\\ud800", "conveyor": null}', "application/json", 400, "parse_error"),
        ('{"words": "' + "x" * 300_000 + '"}', "application/json", 413, "body_too_large"),
        ("words=rubs", "application/x-www-form-urlencoded", 415, "unsupported_media_type"),
        ("<words/>", "text/xml", 415, "unsupported_media_type"),
    ],
)
def test_a_body_that_is_no_complaint_is_refused(
    secret: str, body: str | bytes, media_type: str, status: int, code: str
) -> None:
    response = Client().post(LIST, body, media_type, headers={"Authorization": f"Api-Key {secret}"})

    assert response.status_code == status
    assert response["Content-Type"] == "application/problem+json"
    assert response.json()["code"] == code
    assert not Complaint.objects.exists()
