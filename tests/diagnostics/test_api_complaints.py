"""/api/v1/complaints: handed in, joined, opened; read back."""

from concurrent.futures import ThreadPoolExecutor
from http import HTTPStatus
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Complaint
from diagnostics.services import cases
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


def get(secret: str, address: str = LIST, status: int = HTTPStatus.OK, **query: Any) -> Any:
    response = Client().get(address, query, headers={"Authorization": f"Api-Key {secret}"})
    assert response.status_code == status, response.content
    return response.json()


def open_case(belt: Conveyor) -> Case:
    return cases.open_case(conveyor=belt, summary="rubs", by=None, now=timezone.now())


def test_a_first_complaint_opens_a_case(secret: str, belt: Conveyor) -> None:
    taken = hand_in(
        secret,
        how_bad="rubbing",
        roughly_where="head",
        people_near="fall",
        shift="night",
        external_number="10-4471",
    )

    complaint = Complaint.objects.get()
    assert taken["opened_case"] is True
    assert taken["case"] == {"number": complaint.case.number, "state": "open"}
    assert (complaint.conveyor, complaint.how_bad, complaint.roughly_where) == (
        belt,
        "rubbing",
        "head",
    )
    assert complaint.caller_name == "stores system"
    assert (complaint.people_near, taken["people_near"]) == ("fall", "fall")
    assert get(secret, f"{LIST}/{taken['id']}")["external_number"] == "10-4471"


def test_the_answer_says_where_the_complaint_is_read(secret: str, belt: Conveyor) -> None:
    response = Client().post(
        LIST,
        {"conveyor": "Q30", "words": "runs off"},
        "application/json",
        headers={"Authorization": f"Api-Key {secret}"},
    )

    assert get(secret, response["Location"])["words"] == "runs off"


def test_a_repeat_joins_the_only_open_case(secret: str, belt: Conveyor) -> None:
    case = open_case(belt)

    taken = hand_in(secret, conveyor="q30")

    assert taken["opened_case"] is False
    assert taken["case"]["number"] == case.number
    assert Case.objects.count() == 1


def test_an_ended_case_is_not_joined(secret: str, belt: Conveyor) -> None:
    case = open_case(belt)
    cases.move_case(
        case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=timezone.now(), why="twice"
    )

    assert hand_in(secret)["opened_case"] is True


def test_a_new_problem_opens_a_case_beside_the_open_one(secret: str, belt: Conveyor) -> None:
    open_case(belt)

    taken = hand_in(secret, new_problem=True)

    assert taken["opened_case"] is True
    assert Case.objects.count() == 2


def test_between_several_open_cases_the_caller_must_choose(secret: str, belt: Conveyor) -> None:
    first, second = open_case(belt), open_case(belt)

    problem = hand_in(secret, HTTPStatus.CONFLICT)
    assert problem["code"] == "several_open_cases"
    assert first.number in problem["detail"]
    assert second.number in problem["detail"]
    assert not Complaint.objects.exists()

    taken = hand_in(secret, join_case=second.number)
    assert taken["case"]["number"] == second.number


def test_a_case_that_is_not_on_this_conveyor_is_not_joined(secret: str, belt: Conveyor) -> None:
    other = open_case(register.make_conveyor(belt.plant))

    for number in (other.number, "LT-C-9999", "nonsense"):
        problem = hand_in(secret, HTTPStatus.CONFLICT, join_case=number)
        assert problem["code"] == "unknown_case"

    assert not Complaint.objects.exists()


def test_a_case_that_ended_is_not_joined_by_name(secret: str, belt: Conveyor) -> None:
    case = open_case(belt)
    cases.move_case(
        case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=timezone.now(), why="twice"
    )

    assert hand_in(secret, HTTPStatus.CONFLICT, join_case=case.number)["code"] == "case_has_ended"


def test_not_sure_which_belt_waits_without_a_case(secret: str, belt: Conveyor) -> None:
    taken = hand_in(secret, conveyor=None)

    assert (taken["conveyor"], taken["case"], taken["opened_case"]) == (None, None, False)


def test_complaints_are_listed_newest_first_and_narrowed(secret: str, belt: Conveyor) -> None:
    first = hand_in(secret, external_number="A-1")
    second = hand_in(secret, conveyor=None)

    def found(**query: Any) -> list[int]:
        return [row["id"] for row in get(secret, **query)["results"]]

    assert found() == [second["id"], first["id"]]
    assert found(conveyor="q30") == [first["id"]]
    assert found(case=first["case"]["number"]) == [first["id"]]
    assert found(external_number="A-1") == [first["id"]]
    assert found(external_number="A-2") == []
    assert found(changed_since="2099-01-01T00:00:00Z") == []


def test_a_withdrawn_complaint_says_so(secret: str, belt: Conveyor) -> None:
    taken = hand_in(secret)
    Complaint.objects.update(withdrawn_at="2026-11-02T14:30:00Z", withdrawn_why="wrong belt")

    told = get(secret, f"{LIST}/{taken['id']}")

    assert (told["withdrawn_at"], told["withdrawn_why"]) == ("2026-11-02T14:30:00Z", "wrong belt")


@pytest.mark.parametrize("key", ["0", "999999", "9" * 18, "9" * 19, "-1", "x"])
def test_a_complaint_nobody_made_is_404(secret: str, key: str) -> None:
    assert get(secret, f"{LIST}/{key}", HTTPStatus.NOT_FOUND)["code"] == "not_found"


def test_the_list_takes_the_same_few_queries_however_long_it_is(
    secret: str, belt: Conveyor, django_assert_max_num_queries
) -> None:
    for _turn in range(9):
        hand_in(secret)

    with django_assert_max_num_queries(4):
        assert len(get(secret)["results"]) == 9


@pytest.mark.django_db(transaction=True)
def test_complaints_handed_in_at_once_open_one_case(secret: str, belt: Conveyor) -> None:
    def attempt(_turn: int) -> bool:
        try:
            return hand_in(secret)["opened_case"]
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        opened = list(pool.map(attempt, range(6)))

    assert opened.count(True) == 1
    assert Case.objects.count() == 1
    assert Complaint.objects.filter(case=Case.objects.get()).count() == 6
