"""PATCH /api/v1/complaints/<id>: withdrawn, taken elsewhere, numbered."""

from http import HTTPStatus
from typing import Any

import pytest

from diagnostics.models import Case, Complaint
from plant.models import Conveyor, Plant
from tests.asking_api import System, system_of
from tests.diagnostics.factories import make_bare_conveyor, make_case, make_plant, take

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return make_plant(code="LT")


@pytest.fixture
def belt(plant: Plant) -> Conveyor:
    return make_bare_conveyor(plant, tag="Q30")


@pytest.fixture
def complaint(belt: Conveyor) -> Complaint:
    return take(belt)


@pytest.fixture
def system(plant: Plant) -> System:
    return system_of(plant)


def change(system: System, row: Complaint, status: int = HTTPStatus.OK, **body: Any) -> Any:
    return system.patch(f"/api/v1/complaints/{row.pk}", body, status, row.version)


def test_a_complaint_is_withdrawn_with_its_reason_and_stands_again(
    system: System, complaint: Complaint
) -> None:
    told = change(system, complaint, withdrawn=True, withdrawn_why="the other quay")
    assert told["withdrawn_at"]
    assert told["withdrawn_why"] == "the other quay"

    complaint.refresh_from_db()
    again = change(system, complaint, withdrawn=False)
    assert (again["withdrawn_at"], again["withdrawn_why"]) == (None, None)


def test_it_was_another_belt_and_opens_a_case_there(
    system: System, complaint: Complaint, plant: Plant
) -> None:
    make_bare_conveyor(plant, tag="Q40")

    told = change(system, complaint, conveyor="q40", external_number="10-4471")

    assert told["conveyor"]["tag"] == "Q40"
    assert told["external_number"] == "10-4471"
    assert Case.objects.get(number=told["case"]["number"]).conveyor.tag == "Q40"
    assert complaint.case
    assert told["case"]["number"] != complaint.case.number


def test_it_joins_what_is_open_on_the_other_belt(
    system: System, complaint: Complaint, plant: Plant
) -> None:
    other = make_bare_conveyor(plant, tag="Q40")
    first = make_case(other)
    second = make_case(other)

    told = change(system, complaint, HTTPStatus.CONFLICT, conveyor="Q40")
    assert told["code"] == "several_open_cases"
    assert first.number in told["detail"]

    assert change(system, complaint, conveyor="Q40", join_case=second.number)["case"] == {
        "number": second.number,
        "state": "open",
    }


def test_a_complaint_without_a_belt_gets_one(system: System, plant: Plant, belt: Conveyor) -> None:
    unsure = take(None, plant=plant)

    assert change(system, unsure, conveyor="Q30")["conveyor"]["tag"] == "Q30"


def test_it_is_taken_into_a_case(system: System, complaint: Complaint, plant: Plant) -> None:
    case = make_case(make_bare_conveyor(plant, tag="Q40"))

    told = change(system, complaint, case=case.number)

    assert (told["case"]["number"], told["conveyor"]["tag"]) == (case.number, "Q40")


def test_changes_are_made_together_or_not_at_all(
    system: System, complaint: Complaint, plant: Plant
) -> None:
    other = make_bare_conveyor(plant, tag="Q40")
    make_case(other)
    make_case(other)

    change(system, complaint, HTTPStatus.CONFLICT, conveyor="Q40", external_number="10-4471")

    assert Complaint.objects.get(pk=complaint.pk).external_number == ""


def test_a_withdrawn_complaint_is_not_moved_unless_it_stands_again(
    system: System, complaint: Complaint, plant: Plant
) -> None:
    case = make_case(make_bare_conveyor(plant, tag="Q40"))
    change(system, complaint, withdrawn=True, withdrawn_why="a joke")
    complaint.refresh_from_db()

    told = change(system, complaint, HTTPStatus.CONFLICT, case=case.number)
    assert told["code"] == "complaint_withdrawn"
    assert change(system, complaint, withdrawn=False, case=case.number)["case"]


def test_a_case_of_another_plant_is_not_known(system: System, complaint: Complaint) -> None:
    theirs = make_case()

    told = change(system, complaint, HTTPStatus.BAD_REQUEST, case=theirs.number)

    assert [(one["field"], one["code"]) for one in told["errors"]] == [("case", "unknown_case")]


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({}, None),
        ({"withdrawn": True}, "withdrawn_why"),
        ({"withdrawn_why": "a joke"}, "withdrawn_why"),
        ({"case": "LT-C-0001", "conveyor": "Q30"}, "case"),
        ({"join_case": "LT-C-0001"}, "join_case"),
        ({"conveyor": "Q30", "join_case": "LT-C-0001", "new_problem": True}, "new_problem"),
        ({"conveyor": "Q31"}, "conveyor"),
        ({"case": "LT-C-0001\x00"}, "case"),
        ({"external_number": "1" * 81}, "external_number"),
    ],
)
def test_what_makes_no_sense_is_refused_by_field(
    system: System, complaint: Complaint, body: dict[str, Any], field: str | None
) -> None:
    told = change(system, complaint, HTTPStatus.BAD_REQUEST, **body)

    assert field in [one["field"] for one in told["errors"]]


def test_only_the_version_that_was_read_is_changed(system: System, complaint: Complaint) -> None:
    change(system, complaint, external_number="10-4471")

    told = change(system, complaint, HTTPStatus.PRECONDITION_FAILED, external_number="10-4472")

    assert told["present"]["external_number"] == "10-4471"
    address = f"/api/v1/complaints/{complaint.pk}"
    system.patch(address, {"external_number": None}, HTTPStatus.PRECONDITION_REQUIRED)
