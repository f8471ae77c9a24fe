"""Work for what a close look found there."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connection

from diagnostics import knowledge_files
from diagnostics.case_states import CaseState
from diagnostics.models import Finding
from diagnostics.services import judging
from plant.roles import Role
from tests.diagnostics import factories as diagnostics
from tests.workorders import factories, suggested
from tests.workorders.factories import NOW
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.services import moving, raising_from_finding
from workorders.services.raising import CaseHasEnded

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=3)


def raise_from(finding: Finding) -> WorkOrder:
    return raising_from_finding.raise_from_finding(finding_id=finding.pk, by=None, now=NOW)


def test_a_finding_raises_the_work_method_of_what_was_found_at_its_place() -> None:
    case = diagnostics.make_case(diagnostics.make_conveyor())
    cause = knowledge_files.current().causes["return_idler_skewed"]

    order = raise_from(suggested.find(case, place="R5"))

    assert (order.case, order.hypothesis, order.origin) == (case, None, "finding")
    assert (order.cause, order.component, order.work_method) == (
        "return_idler_skewed",
        "R5",
        cause.work_method,
    )
    assert order.position_m == pytest.approx(64 + 4 * 3)
    assert order.zone
    assert order.steps.exists()
    assert order.cautions


def test_what_a_finding_shows_is_not_yet_the_cause_of_the_case() -> None:
    case = suggested.make_looked_at()

    raise_from(suggested.find(case))

    case.refresh_from_db()
    assert (case.state, case.cause) == (CaseState.LOOKED_AT, "")


def test_the_standing_diagnosis_lends_its_correction() -> None:
    case = suggested.make_looked_at()
    suggested.diagnose(case, 0.4)

    assert raise_from(suggested.find(case)).correction == factories.CORRECTION


def test_a_finding_has_one_open_order() -> None:
    finding = suggested.find(suggested.make_looked_at())
    order = raise_from(finding)

    with pytest.raises(raising_from_finding.FindingHasOpenOrder, match=order.number):
        raise_from(finding)

    factories.bring_to(order, OrderState.CANCELLED)
    assert raise_from(finding) != order


def test_what_another_order_mends_there_is_not_raised_twice() -> None:
    accepted = factories.make_accepted_cause()
    order = factories.make_order(accepted)

    with pytest.raises(raising_from_finding.CauseHasOpenOrder, match=order.number):
        raise_from(suggested.find(accepted.case))


def test_the_same_fault_far_away_is_other_work() -> None:
    accepted = factories.make_accepted_cause()
    factories.make_order(accepted)

    assert raise_from(suggested.find(accepted.case, place="R90"))


@pytest.mark.parametrize("fields", [{"is_present": False}, {"taken_back_at": NOW}])
def test_a_look_that_found_nothing_or_was_taken_back_raises_nothing(fields: dict) -> None:
    with pytest.raises(raising_from_finding.NothingWasFound):
        raise_from(suggested.find(suggested.make_looked_at(), **fields))


def test_an_ended_case_gets_no_work() -> None:
    case = suggested.make_looked_at()
    finding = suggested.find(case)
    case.state = CaseState.CANCELLED.value
    case.save()

    with pytest.raises(CaseHasEnded):
        raise_from(finding)


def test_accepting_what_was_found_adopts_its_order() -> None:
    case = suggested.make_looked_at()
    order = raise_from(suggested.find(case))
    first = suggested.diagnose(case, 0.6)
    lead = factories.make_person(Role.LEAD, case.conveyor.plant)

    judging.accept_hypothesis(hypothesis_id=first.pk, case_id=case.pk, by=lead, now=LATER)

    order.refresh_from_db()
    assert WorkOrder.objects.get() == order
    assert order.hypothesis == first


def test_two_findings_of_a_case_have_an_order_each() -> None:
    case = suggested.make_looked_at()
    one = raise_from(suggested.find(case))
    other = raise_from(suggested.find(case, "tail_pulley_skewed", place="TP"))
    factories.bring_to(one, OrderState.CANCELLED)

    moving.move_order(
        order_id=one.pk, to_state=OrderState.PROPOSED, by=None, now=LATER, why="still there"
    )

    assert set(WorkOrder.objects.open()) == {one, other}


@pytest.mark.django_db(transaction=True)
def test_of_two_people_raising_from_one_finding_one_loses() -> None:
    finding = suggested.find(suggested.make_looked_at())

    def attempt(_number: int) -> str:
        try:
            raise_from(finding)
        except raising_from_finding.FindingHasOpenOrder:
            return "refused"
        finally:
            connection.close()
        return "raised"

    with ThreadPoolExecutor(4) as people:
        outcomes = sorted(people.map(attempt, range(4)))

    assert outcomes == ["raised", "refused", "refused", "refused"]
