"""/api/v1/cases/<number>/findings: another system sends what a close look showed."""

from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Finding
from diagnostics.selectors.evidence import evidence_of
from diagnostics.services import cases
from plant.models import Plant
from plant.roles import Role
from tests.asking_api import System, system_of
from tests.diagnostics.factories import NOW, make_case, make_conveyor, make_person, make_plant

pytestmark = pytest.mark.django_db
SENT = {"cause": "return_idler_skewed", "is_present": True, "place": "R9"}


@pytest.fixture
def plant() -> Plant:
    return make_plant(code="LT")


@pytest.fixture
def case(plant: Plant) -> Case:
    return make_case(make_conveyor(plant))


@pytest.fixture
def system(plant: Plant) -> System:
    return system_of(plant)


def address(case: Case, finding: Any = None) -> str:
    return f"/api/v1/cases/{case.number}/findings" + (f"/{finding}" if finding else "")


def send(system: System, case: Case, status: int = HTTPStatus.CREATED, **changes: Any) -> Any:
    return system.post(address(case), {**SENT, **changes}, status)


def test_a_finding_counts_as_evidence_and_the_case_is_looked_at(system: System, case: Case) -> None:
    told = send(system, case, note="hanger sits 20 mm ahead")

    case.refresh_from_db()
    assert case.state == CaseState.LOOKED_AT
    assert case.diagnosis_owed_at
    assert [one.component for one in evidence_of(case).findings] == ["R9"]
    assert (told["component"], told["place"], told["found_by"]) == ("R", "R9", "stores system")
    assert system.get(address(case, told["id"])) == told


def test_pages_say_which_system_looked_and_moved_the_case(
    system: System, case: Case, plant: Plant
) -> None:
    send(system, case)
    reader = Client()
    reader.force_login(make_person(Role.TECHNICIAN, plant))

    page = reader.get(reverse("case", args=[case.number])).content.decode()

    assert page.count("stores system") >= 2


def test_a_place_is_found_whatever_its_letters_and_kept_as_the_register_calls_it(
    system: System, case: Case
) -> None:
    assert send(system, case, place="r9")["place"] == "R9"


def test_the_belt_itself_has_no_place(system: System, case: Case) -> None:
    told = send(system, case, cause="belt_camber", place=None)

    assert (told["place"], told["component"]) == (None, None)


@pytest.mark.parametrize(
    ("wrong", "field", "code"),
    [
        ({"cause": "return_idler_skew"}, "cause", "unknown_cause"),
        ({"place": "R99"}, "place", "unknown_place"),
        ({"found_at": "2999-01-01T00:00:00Z"}, "found_at", "day_out_of_bounds"),
        ({"found_at": "2190-01-01T00:00:00Z"}, "found_at", "still_to_come"),
        ({"note": "a\x00b"}, "note", "null_characters_not_allowed"),
        ({"is_present": None}, "is_present", "null"),
    ],
)
def test_what_cannot_be_is_refused_by_field(
    system: System, case: Case, wrong: dict[str, Any], field: str, code: str
) -> None:
    told = send(system, case, HTTPStatus.BAD_REQUEST, **wrong)

    assert [(one["field"], one["code"]) for one in told["errors"]] == [(field, code)]
    assert not Finding.objects.exists()


def test_a_misspelt_cause_is_told_the_nearest(system: System, case: Case) -> None:
    told = send(system, case, HTTPStatus.BAD_REQUEST, cause="return_idler_skew")

    assert "return_idler_skewed" in told["detail"]


def test_a_case_that_has_ended_takes_no_findings(system: System, case: Case) -> None:
    cases.move_case(case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="a joke")

    assert send(system, case, HTTPStatus.CONFLICT)["code"] == "case_has_ended"


def test_a_finding_is_taken_back_and_counts_again(system: System, case: Case) -> None:
    kept = send(system, case)
    one = address(case, kept["id"])

    back = system.patch(one, {"withdrawn": True}, HTTPStatus.OK, kept["version"])
    assert back["withdrawn_at"]
    assert evidence_of(case).findings == ()
    again = system.patch(one, {"withdrawn": False}, HTTPStatus.OK, back["version"])
    assert again["withdrawn_at"] is None


def test_taking_back_wants_the_version_that_was_read(system: System, case: Case) -> None:
    kept = send(system, case)
    one = address(case, kept["id"])

    system.patch(one, {"withdrawn": True}, HTTPStatus.PRECONDITION_REQUIRED)
    system.patch(one, {"withdrawn": True}, HTTPStatus.OK, 1)
    system.patch(one, {"withdrawn": False}, HTTPStatus.PRECONDITION_FAILED, 1)
    assert Finding.objects.get().taken_back_at


def test_a_finding_is_no_part_of_another_case(system: System, case: Case) -> None:
    kept = send(system, case)
    other = make_case(case.conveyor)

    system.get(address(other, kept["id"]), HTTPStatus.NOT_FOUND)
    assert system.get(address(other))["results"] == []


def test_findings_come_page_by_page_the_newest_first(system: System, case: Case) -> None:
    sent = [send(system, case, found_at=f"2026-11-0{day}T08:00:00Z")["id"] for day in (1, 3, 2)]

    first = system.get(address(case), limit=2)
    rest = system.get(first["next"])

    listed = [one["id"] for one in first["results"] + rest["results"]]
    assert listed == [sent[1], sent[2], sent[0]]
    assert rest["next"] is None


def test_the_list_asks_as_much_for_many_as_for_one(
    system: System, case: Case, django_assert_max_num_queries: Any
) -> None:
    for _ in range(5):
        send(system, case)
    with django_assert_max_num_queries(12):
        assert len(system.get(address(case))["results"]) == 5
