"""Which state its orders want a case in."""

from itertools import product

import pytest

from diagnostics.case_states import CaseState, may_move
from workorders.case_following import OrderStanding, case_state_wanted, way_to
from workorders.order_states import OrderState

LED = [CaseState.CAUSE_FOUND, CaseState.MENDED, CaseState.ON_PROOF]


@pytest.mark.parametrize(
    ("states", "wanted"),
    [
        (["proposed"], CaseState.CAUSE_FOUND),
        (["approved"], CaseState.MENDED),
        (["scheduled"], CaseState.MENDED),
        (["in_hand"], CaseState.MENDED),
        (["done"], CaseState.ON_PROOF),
        (["proved"], CaseState.CLOSED),
        (["done", "in_hand"], CaseState.MENDED),
        (["done", "proposed"], CaseState.MENDED),
        (["done", "proved"], CaseState.ON_PROOF),
        (["proved", "declined"], CaseState.CLOSED),
        (["proved", "cancelled", "done"], CaseState.ON_PROOF),
    ],
)
@pytest.mark.parametrize("case", LED)
def test_orders_lead_their_case(case: CaseState, states: list[str], wanted: CaseState) -> None:
    orders = [OrderStanding(OrderState(state)) for state in states]

    assert case_state_wanted(case, orders) is wanted


def test_with_all_work_set_aside_a_case_being_mended_is_back_at_its_cause() -> None:
    orders = [OrderStanding(OrderState.CANCELLED), OrderStanding(OrderState.DECLINED)]

    assert case_state_wanted(CaseState.MENDED, orders) is CaseState.CAUSE_FOUND
    assert case_state_wanted(CaseState.CAUSE_FOUND, orders) is CaseState.CAUSE_FOUND


def test_a_done_order_whose_proof_failed_counts_no_more() -> None:
    orders = [OrderStanding(OrderState.DONE, proof_failed=True), OrderStanding(OrderState.PROPOSED)]

    assert case_state_wanted(CaseState.LOOKED_AT, orders) is CaseState.CAUSE_FOUND


@pytest.mark.parametrize("case", [CaseState.CLOSED, CaseState.NOT_MISTRACKING, CaseState.CANCELLED])
@pytest.mark.parametrize("state", OrderState)
def test_an_ended_case_is_left_alone(case: CaseState, state: OrderState) -> None:
    assert case_state_wanted(case, [OrderStanding(state)]) is case


@pytest.mark.parametrize(
    ("case", "one", "other"), list(product(LED, list(OrderState), list(OrderState)))
)
def test_whatever_is_wanted_is_reached_by_legal_moves(
    case: CaseState, one: OrderState, other: OrderState
) -> None:
    wanted = case_state_wanted(case, [OrderStanding(one), OrderStanding(other)])

    at = case
    for step in way_to(case, wanted):
        assert may_move(at, step)
        at = step

    assert at is wanted


def test_no_way_leads_out_of_a_closed_case() -> None:
    with pytest.raises(ValueError, match="no legal way"):
        way_to(CaseState.CLOSED, CaseState.MENDED)


SUGGESTED = OrderStanding(OrderState.PROPOSED, is_suggestion=True)


@pytest.mark.parametrize("case", [CaseState.OPEN, CaseState.LOOKED_AT, CaseState.ON_PROOF])
def test_work_that_is_only_suggested_moves_no_case(case: CaseState) -> None:
    done = [OrderStanding(OrderState.DONE)] if case is CaseState.ON_PROOF else []

    assert case_state_wanted(case, [SUGGESTED, *done], has_cause=False) is case


def test_suggested_work_that_is_approved_leads_its_case_like_any_other() -> None:
    approved = OrderStanding(OrderState.APPROVED, is_suggestion=True)

    assert case_state_wanted(CaseState.LOOKED_AT, [approved], has_cause=False) is CaseState.MENDED


@pytest.mark.parametrize("orders", [[], [SUGGESTED], [OrderStanding(OrderState.CANCELLED)]])
@pytest.mark.parametrize("case", [CaseState.CAUSE_FOUND, CaseState.MENDED])
def test_without_work_and_without_a_cause_a_case_goes_back_to_looking(
    case: CaseState, orders: list[OrderStanding]
) -> None:
    assert case_state_wanted(case, orders, has_cause=False) is CaseState.LOOKED_AT
    assert case_state_wanted(case, orders) is CaseState.CAUSE_FOUND
