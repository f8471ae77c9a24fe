"""Proof runs: what passes, what fails, what is refused."""

from datetime import timedelta

import pytest

from diagnostics.case_states import CaseState
from diagnostics.services import cases
from tests.workorders import factories
from tests.workorders.factories import NOW
from workorders.models import ProofRun, WorkOrder
from workorders.order_states import OrderState
from workorders.selectors import case_work, proofs, watching
from workorders.services import leading_cases, proving, raising
from workorders.services.locking import OrderChangedMeanwhile

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=1)


@pytest.fixture
def done() -> WorkOrder:
    return factories.bring_to(factories.make_order(), OrderState.DONE)


def prove(order: WorkOrder, **given: object) -> ProofRun:
    watched = {"passed": True, "revolutions_empty": 3, "revolutions_loaded": 4, **given}
    return proving.record_proof_run(order_id=order.pk, by=None, now=LATER, **watched)


def test_a_passed_proof_run_proves_the_order_and_closes_its_case(done: WorkOrder) -> None:
    prove(done, note="runs true over the whole return strand")

    done.refresh_from_db()
    case = done.case
    case.refresh_from_db()
    assert (done.state, done.ended_at) == (OrderState.PROVED, LATER)
    assert (case.state, case.proved_at, case.ended_at) == (CaseState.CLOSED, LATER, LATER)
    run = done.proof_runs.get()
    assert (run.passed, run.revolutions_empty, run.revolutions_loaded) == (True, 3, 4)


@pytest.mark.parametrize(("empty", "loaded"), [(2, 3), (3, 2), (0, 0)])
def test_fewer_than_three_turns_in_either_state_pass_nothing(
    done: WorkOrder, empty: int, loaded: int
) -> None:
    with pytest.raises(proving.ProofTooShort, match="at least 3 turns"):
        prove(done, revolutions_empty=empty, revolutions_loaded=loaded)

    done.refresh_from_db()
    assert done.state == OrderState.DONE
    assert not ProofRun.objects.exists()


def test_a_failed_proof_run_leaves_the_order_done_and_goes_on_looking(done: WorkOrder) -> None:
    prove(done, passed=False, revolutions_empty=1, revolutions_loaded=0, note="off again at R9")

    done.refresh_from_db()
    case = done.case
    case.refresh_from_db()
    assert done.state == OrderState.DONE
    assert leading_cases.proof_failed(done)
    assert (case.state, case.proved_at) == (CaseState.LOOKED_AT, None)
    assert case.moves.last().why == f"Proof run of {done.number} failed: off again at R9"


def test_a_failed_proof_run_says_what_was_seen(done: WorkOrder) -> None:
    with pytest.raises(proving.FailedProofNeedsNote):
        prove(done, passed=False, note="  ")


@pytest.mark.parametrize("state", [one for one in OrderState if one is not OrderState.DONE])
def test_only_done_work_is_proved(state: OrderState) -> None:
    order = factories.bring_to(factories.make_order(), state)

    with pytest.raises(proving.OrderIsNotDone):
        prove(order)


def test_a_proof_run_waits_for_the_other_work_of_the_case(done: WorkOrder) -> None:
    # While the belt was watched somebody found a second cause.
    for state in (CaseState.MENDED, CaseState.CAUSE_FOUND):
        cases.move_case(case_id=done.case_id, to_state=state, by=None, now=NOW)
    cause = factories.make_accepted_cause(done.case, "off_centre_loading", component="LOAD")
    other = factories.make_order(cause)

    with pytest.raises(proving.CaseIsNotOnProof, match=other.number):
        prove(done)


def test_after_a_failed_proof_the_same_order_is_not_proved_on_the_quiet(done: WorkOrder) -> None:
    prove(done, passed=False, note="off again")

    with pytest.raises(proving.CaseIsNotOnProof, match="being looked at"):
        prove(done)


def test_work_is_raised_again_after_a_failed_proof_and_its_proof_closes_the_case(
    done: WorkOrder,
) -> None:
    prove(done, passed=False, note="off again")

    again = raising.raise_again(hypothesis_id=done.hypothesis_id, by=None, now=LATER)
    again.case.refresh_from_db()
    assert again.case.state == CaseState.CAUSE_FOUND
    factories.bring_to(again, OrderState.PROVED, now=LATER)

    done.refresh_from_db()
    done.case.refresh_from_db()
    assert done.state == OrderState.DONE
    assert done.case.state == CaseState.CLOSED


def test_a_stale_page_proves_nothing(done: WorkOrder) -> None:
    with pytest.raises(OrderChangedMeanwhile):
        prove(done, version=done.version - 1)


def test_an_order_without_a_case_is_proved_by_itself() -> None:
    order = factories.bring_to(factories.make_order_by_hand(), OrderState.DONE)

    prove(order)

    order.refresh_from_db()
    assert order.state == OrderState.PROVED


def test_a_failed_proof_without_a_case_can_be_followed_by_a_passed_one() -> None:
    order = factories.bring_to(factories.make_order_by_hand(), OrderState.DONE)

    prove(order, passed=False, note="rubber still drags")
    prove(order)

    order.refresh_from_db()
    assert order.state == OrderState.PROVED


def test_only_work_whose_proof_has_not_failed_waits_to_be_proved(done: WorkOrder) -> None:
    failed = factories.bring_to(factories.make_order(), OrderState.DONE)
    prove(failed, passed=False, note="off again")

    assert list(proofs.to_be_proved(WorkOrder.objects.all())) == [done]


@pytest.mark.parametrize(
    ("state", "offered"),
    [
        (OrderState.PROPOSED, False),
        (OrderState.IN_HAND, False),
        (OrderState.DONE, False),
        (OrderState.DECLINED, True),
        (OrderState.CANCELLED, True),
        (OrderState.PROVED, False),
    ],
)
def test_raising_again_is_offered_when_nothing_counts_for_the_cause(
    state: OrderState, offered: bool
) -> None:
    order = factories.bring_to(factories.make_order(), state)
    case = type(order.case).objects.get(pk=order.case_id)

    assert bool(case_work.causes_without_work(case)) is offered


def test_raising_again_is_offered_after_a_failed_proof(done: WorkOrder) -> None:
    prove(done, passed=False, note="off again")
    case = type(done.case).objects.get(pk=done.case_id)

    assert case_work.causes_without_work(case) == [done.hypothesis]


def test_time_to_watch_comes_from_the_belt() -> None:
    conveyor = factories.make_conveyor(speed_mps=2.5)
    assert watching.time_to_watch(conveyor) is None
    conveyor.belts.create(width_mm=1000, length_m=502.5)

    watch = watching.time_to_watch(conveyor)

    # Three turns of 201 s each are ten minutes and three seconds.
    assert watch is not None
    assert watch.revolution_s == pytest.approx(201.0)
    assert watch.minutes == 11
