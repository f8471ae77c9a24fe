"""/api/v1/cases/<number>/moves: another system ends a case without work, or opens it again."""

from http import HTTPStatus
from typing import Any

import pytest

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from plant.models import Plant
from tests.asking_api import System, system_of
from tests.plant import factories as register
from tests.workorders import factories
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT")


@pytest.fixture
def case(plant: Plant) -> Case:
    return factories.make_case(register.make_complete_conveyor(plant))


@pytest.fixture
def system(plant: Plant) -> System:
    return system_of(plant)


def move(
    system: System, case: Case, to_state: str, status: int = HTTPStatus.OK, **asked: Any
) -> Any:
    asked = {"why": "belt taken out of service", "version": case.version, **asked}
    version = asked.pop("version")
    address = f"/api/v1/cases/{case.number}/moves"
    return system.post(address, {"to_state": to_state, **asked}, status, version)


def test_a_case_is_cancelled_and_opened_again_by_the_system(system: System, case: Case) -> None:
    told = move(system, case, "cancelled")
    assert (told["state"], told["version"]) == ("cancelled", case.version + 1)

    again = move(system, case, "open", version=told["version"], why=None)

    assert again["state"] == "open"
    moves = system.get(f"/api/v1/cases/{case.number}/moves")["results"]
    assert [(one["to_state"], one["by"]) for one in moves] == [
        ("open", "stores system"),
        ("cancelled", "stores system"),
        ("open", None),
    ]


def test_planned_work_goes_with_the_case(system: System, case: Case) -> None:
    order = factories.make_order(factories.make_accepted_cause(case))
    case.refresh_from_db()

    move(system, case, "not_mistracking", version=case.version)

    assert WorkOrder.objects.get(pk=order.pk).state == OrderState.CANCELLED


def test_ending_wants_a_reason(system: System, case: Case) -> None:
    assert move(system, case, "cancelled", HTTPStatus.CONFLICT, why=" ")["code"] == (
        "end_needs_reason"
    )


@pytest.mark.parametrize("state", ["closed", "cause_found", "being_mended", "on_proof", "done", 3])
def test_what_follows_from_causes_and_work_is_no_move_of_a_system(
    system: System, case: Case, state: Any
) -> None:
    told = move(system, case, state, HTTPStatus.BAD_REQUEST)

    assert [one["field"] for one in told["errors"]] == ["to_state"]


def test_an_open_case_is_not_opened_again(system: System, case: Case) -> None:
    assert move(system, case, "open", HTTPStatus.CONFLICT)["code"] == "illegal_case_move"


def test_a_move_from_an_old_view_is_refused_with_the_case_as_it_stands(
    system: System, case: Case
) -> None:
    factories.make_accepted_cause(case)

    told = move(system, case, "cancelled", HTTPStatus.PRECONDITION_FAILED)

    assert told["present"]["number"] == case.number
    assert told["present"]["state"] == "cause_found"
    assert Case.objects.get(pk=case.pk).state == CaseState.CAUSE_FOUND
    move(system, case, "cancelled", HTTPStatus.PRECONDITION_REQUIRED, version=None)
