"""The reason for work is taken away: what happens to its orders."""

from datetime import timedelta

import pytest

from diagnostics import signals
from diagnostics.case_states import CaseState
from diagnostics.models import Hypothesis
from diagnostics.services import cases
from tests.workorders import factories
from tests.workorders.factories import NOW
from workorders.order_states import OrderState
from workorders.services import moving, raising

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=1)


def test_a_cause_taken_back_cancels_its_planned_order() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.SCHEDULED)

    signals.cause_taken_back.send(
        sender=Hypothesis, hypothesis=order.hypothesis, by=None, now=LATER, why="wrong roll"
    )

    order.refresh_from_db()
    assert order.state == OrderState.CANCELLED
    assert order.moves.last().why == "Cause taken back: wrong roll"


@pytest.mark.parametrize("state", [OrderState.IN_HAND, OrderState.DONE])
def test_a_cause_with_work_under_way_is_not_taken_back(state: OrderState) -> None:
    order = factories.bring_to(factories.make_order(), state)

    with pytest.raises(Exception, match=order.number) as refused:
        signals.cause_taken_back.send(
            sender=Hypothesis, hypothesis=order.hypothesis, by=None, now=LATER, why="wrong roll"
        )

    assert refused.value.code == "work_is_under_way"
    order.refresh_from_db()
    assert order.state == state


def test_a_case_that_is_no_mistracking_cancels_its_orders() -> None:
    order = factories.make_order()

    cases.move_case(
        case_id=order.case_id,
        to_state=CaseState.NOT_MISTRACKING,
        by=None,
        now=NOW,
        why="a flag of rubber",
    )

    order.refresh_from_db()
    assert order.state == OrderState.CANCELLED


def test_a_set_aside_order_does_not_come_back_to_an_ended_case() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.CANCELLED)
    cases.move_case(
        case_id=order.case_id, to_state=CaseState.CANCELLED, by=None, now=NOW, why="twice the same"
    )

    with pytest.raises(raising.CaseHasEnded):
        moving.move_order(
            order_id=order.pk, to_state=OrderState.PROPOSED, by=None, now=NOW, why="needed"
        )


def test_a_set_aside_order_does_not_come_back_beside_its_successor() -> None:
    first = factories.bring_to(factories.make_order(), OrderState.DECLINED)
    factories.make_order(first.hypothesis)

    with pytest.raises(raising.HypothesisHasOpenOrder):
        moving.move_order(
            order_id=first.pk, to_state=OrderState.PROPOSED, by=None, now=NOW, why="needed"
        )
