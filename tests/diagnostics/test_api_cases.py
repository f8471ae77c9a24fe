"""GET /api/v1/cases: narrowed lists, and one case with what is suspected and why."""

from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Finding
from diagnostics.services import cases, diagnosing
from plant.models import Plant
from plant.roles import Role
from tests.diagnostics import factories
from tests.diagnostics.factories import NOW, later
from tests.workorders.factories import make_complaint, make_key

pytestmark = pytest.mark.django_db
CASES = "/api/v1/cases"


@pytest.fixture
def case() -> Case:
    plant = factories.make_plant(code="LT")
    conveyor = factories.make_conveyor(plant, tag="Q30", right_words="sea side")
    row = factories.make_case(conveyor)
    make_complaint(row)
    return row


@pytest.fixture
def secret(case: Case) -> str:
    return make_key(case.conveyor.plant)[1]


def get(secret: str, address: str = CASES, status: int = HTTPStatus.OK, **query: Any) -> Any:
    response = Client().get(address, query, headers={"Authorization": f"Api-Key {secret}"})
    assert response.status_code == status, response.content
    return response.json()


def test_a_case_tells_what_its_diagnosis_suspects_in_order_with_reasons(
    case: Case, secret: str
) -> None:
    factories.walk_with_trouble_on_return(case)
    made = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))

    told = get(secret, f"{CASES}/{case.number}")

    assert told["diagnosis"]["pattern"] == made.pattern.replace("-", "_")
    assert told["diagnosis"]["is_sufficient"] is made.is_sufficient
    assert told["diagnosis"]["cautions"] == made.answer["cautions"]
    shares = [one["probability"] for one in told["hypotheses"]]
    assert [one["rank"] for one in told["hypotheses"]] == list(range(1, len(shares) + 1))
    assert 0 < sum(shares) <= 1.000001
    first, ranked = told["hypotheses"][0], made.answer["ranked"][0]
    assert (first["cause"], first["reasons"]) == (ranked["cause"], ranked["reasons"])
    assert first["loop_position_m"] == ranked["position_m"]
    assert first["state"] == "suspected"


def test_only_the_standing_diagnosis_and_accepted_causes_are_told(case: Case, secret: str) -> None:
    factories.walk_with_trouble_on_return(case)
    first = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))
    accepted = first.hypotheses.first()
    accepted.accepted_at = later(hours=2)
    accepted.judged_by = factories.make_person(Role.TECHNICIAN, case.conveyor.plant)
    accepted.save()
    second = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=3))

    told = get(secret, f"{CASES}/{case.number}")

    of_second = {one.pk for one in second.hypotheses.all()}
    assert {one["id"] for one in told["hypotheses"]} == of_second | {accepted.pk}
    judged = next(one for one in told["hypotheses"] if one["id"] == accepted.pk)
    assert (judged["state"], judged["judged_by"]) == ("accepted", str(accepted.judged_by))
    assert judged["judged_at"] == "2026-11-02T16:30:00Z"


def test_a_side_has_the_words_of_the_belt_and_what_is_not_known_is_null(
    case: Case, secret: str
) -> None:
    made = factories.make_hypothesis(case, accepted_at=NOW)

    (told,) = get(secret, f"{CASES}/{case.number}")["hypotheses"]

    assert (told["id"], told["side"], told["side_words"]) == (made.pk, "right", "sea side")
    assert told["zone"] == "return_run_before_the_take_up"
    assert (told["size"], told["reasons"], told["correction"]) == (None, [], None)


def test_a_case_nobody_looked_at_has_no_diagnosis(case: Case, secret: str) -> None:
    told = get(secret, f"{CASES}/{case.number}")

    assert (told["diagnosis"], told["hypotheses"], told["findings"]) == (None, [], [])
    assert told["complaints"] == [case.complaints.get().pk]


def test_findings_and_moves_are_told(case: Case, secret: str) -> None:
    Finding.objects.create(
        case=case, cause="return_idler_skewed", is_present=True, place="R9", found_at=NOW
    )
    cases.move_case(case_id=case.pk, to_state=CaseState.LOOKED_AT, by=None, now=later(hours=1))

    told = get(secret, f"{CASES}/{case.number}")

    (finding,) = told["findings"]
    assert (finding["cause"], finding["is_present"], finding["place"]) == (
        "return_idler_skewed",
        True,
        "R9",
    )
    assert told["moves"][-1]["to_state"] == "being_looked_at"


def test_one_case_takes_the_same_few_queries_however_much_is_known(
    case: Case, secret: str, django_assert_max_num_queries: Any
) -> None:
    for number in range(5):
        Finding.objects.create(
            case=case, cause="return_idler_skewed", is_present=False, found_at=NOW
        )
        factories.make_hypothesis(case, component=f"R{number}", accepted_at=NOW)

    # Key and its pace, the case, diagnoses, hypotheses, findings, complaints and moves.
    with django_assert_max_num_queries(9):
        get(secret, f"{CASES}/{case.number}")


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"state": "open"}, True),
        ({"state": ["cancelled", "open"]}, True),
        ({"state": "cause_found"}, False),
        ({"plant": "LT"}, True),
        ({"plant": "QX"}, False),
        ({"conveyor": ["Q31", "q30"]}, True),
        ({"conveyor": "Q31"}, False),
        ({"cause": "return_idler_skewed"}, False),
        ({"cause_class": "return_idler"}, False),
        ({"zone": "head"}, False),
        ({"repeat": "no"}, True),
        ({"repeat": "yes"}, False),
        ({"changed_since": "2026-01-01T00:00:00Z"}, True),
        ({"changed_since": "2099-01-01T00:00:00Z"}, False),
    ],
)
def test_the_list_of_cases_is_narrowed(
    case: Case, secret: str, query: dict[str, Any], found: bool
) -> None:
    assert [one["number"] for one in get(secret, **query)["results"]] == [case.number] * found


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"state": "open"}, True),
        ({"state": "closed"}, False),
        ({"how_bad": "off_centre"}, True),
        ({"how_bad": ["spilling", "stopped"]}, False),
        ({"cause": "return_idler_skewed"}, False),
        ({"plant": "QX"}, False),
        ({"withdrawn": "no"}, True),
        ({"withdrawn": "yes"}, False),
    ],
)
def test_the_list_of_complaints_is_narrowed(
    case: Case, secret: str, query: dict[str, Any], found: bool
) -> None:
    told = get(secret, "/api/v1/complaints", **query)["results"]

    assert len(told) == int(found)


@pytest.mark.parametrize(
    "query", [{"state": "being looked at"}, {"repeat": "maybe"}, {"urgency": "watch"}]
)
def test_what_cases_cannot_be_narrowed_by_is_refused(
    case: Case, secret: str, query: dict[str, str]
) -> None:
    problem = get(secret, CASES, HTTPStatus.BAD_REQUEST, **query)

    assert problem["errors"][0]["field"] == next(iter(query))


def test_a_case_of_another_plant_is_not_there(case: Case) -> None:
    _key, other = make_key(Plant.objects.create(code="QX", name="Elsewhere"))

    get(other, f"{CASES}/{case.number}", HTTPStatus.NOT_FOUND)
