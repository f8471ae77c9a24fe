"""/api/v1/complaints/bulk and /api/v1/findings/bulk: each item for itself, or all of them."""

from http import HTTPStatus
from typing import Any

import pytest

from diagnostics.models import Case, Complaint, Finding
from plant.models import Conveyor, Plant
from tests.asking_api import System, system_of
from tests.diagnostics.factories import make_bare_conveyor, make_case, make_conveyor, make_plant

pytestmark = pytest.mark.django_db
COMPLAINTS, FINDINGS = "/api/v1/complaints/bulk", "/api/v1/findings/bulk"
WORDS = "rubs its frame again"


@pytest.fixture
def plant() -> Plant:
    return make_plant(code="LT")


@pytest.fixture
def belt(plant: Plant) -> Conveyor:
    return make_conveyor(plant, tag="Q30")


@pytest.fixture
def system(plant: Plant, belt: Conveyor) -> System:
    return system_of(plant)


def send(
    system: System, address: str, *items: Any, status: int = HTTPStatus.OK, **more: Any
) -> Any:
    return system.post(address, {"items": list(items), **more}, status)["results"]


def statuses(results: list[dict[str, Any]]) -> list[int]:
    return [one["status"] for one in results]


def test_a_later_complaint_joins_the_case_an_earlier_one_opened(system: System) -> None:
    first, second = send(
        system,
        COMPLAINTS,
        {"conveyor": "Q30", "words": WORDS},
        {"conveyor": "q30", "words": "and spills"},
    )

    assert (first["status"], first["record"]["opened_case"]) == (HTTPStatus.CREATED, True)
    assert second["record"]["opened_case"] is False
    assert first["record"]["case"]["number"] == second["record"]["case"]["number"]


def test_an_item_that_is_wrong_leaves_the_others(system: System) -> None:
    results = send(
        system,
        COMPLAINTS,
        {"conveyor": "Q31", "words": WORDS},
        {"conveyor": "Q30", "words": WORDS},
        {"conveyor": ["Q30"], "words": WORDS},
        {},
    )

    assert statuses(results) == [400, 201, 400, 400]
    assert results[0]["problem"]["errors"][0]["code"] == "unknown_conveyor"
    assert Complaint.objects.count() == 1


def test_all_or_nothing_keeps_nothing_when_one_is_refused(system: System, belt: Conveyor) -> None:
    results = send(
        system,
        COMPLAINTS,
        {"conveyor": "Q30", "words": WORDS},
        {"conveyor": "Q30", "words": WORDS, "join_case": "LT-C-9999"},
        status=HTTPStatus.CONFLICT,
        all_or_nothing=True,
    )

    assert statuses(results) == [424, 409]
    assert results[1]["problem"]["code"] == "unknown_case"
    assert not Complaint.objects.exists()
    assert not Case.objects.exists()


def test_findings_of_several_cases_are_kept_and_owe_their_diagnoses(
    system: System, belt: Conveyor, plant: Plant
) -> None:
    cases = [make_case(belt), make_case(make_bare_conveyor(plant))]
    looked = {"cause": "return_idler_skewed", "is_present": True}

    results = send(
        system,
        FINDINGS,
        {**looked, "case": cases[0].number, "place": "R9"},
        {**looked, "case": cases[1].number},
        {**looked, "case": cases[0].number, "place": "R99"},
    )

    assert statuses(results) == [201, 201, 400]
    assert {one.found_by for one in Finding.objects.all()} == {None}
    assert {one["record"]["found_by"] for one in results[:2]} == {"stores system"}
    assert Case.objects.owing_diagnosis().count() == 2


def test_a_case_of_another_plant_is_not_known(system: System) -> None:
    theirs = make_case()
    item = {"case": theirs.number, "cause": "return_idler_skewed", "is_present": True}

    (told,) = send(system, FINDINGS, item)

    assert told["problem"]["errors"][0]["code"] == "unknown_case"
    assert not Finding.objects.exists()


@pytest.mark.parametrize("address", [COMPLAINTS, FINDINGS])
@pytest.mark.parametrize("items", [[], [{}] * 201, "Q30", [3], None])
def test_what_is_no_list_of_items_is_refused(system: System, address: str, items: Any) -> None:
    told = system.post(address, {"items": items}, HTTPStatus.BAD_REQUEST)

    assert told["errors"][0]["field"].startswith("items")
