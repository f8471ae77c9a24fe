"""An order that was set aside comes back unless other work stands for the same."""

import pytest

from tests.workorders import factories
from tests.workorders.factories import NOW
from workorders.models import WorkOrder
from workorders.order_origins import Origin
from workorders.order_states import OrderState
from workorders.services import moving
from workorders.services.raising import HypothesisHasOpenOrder

pytestmark = pytest.mark.django_db


def test_suggested_work_that_was_accepted_since_comes_back_beside_no_other_suggestion():
    accepted = factories.make_order()
    moving.move_order(
        order_id=accepted.pk, to_state=OrderState.DECLINED, by=None, now=NOW, why="not now"
    )
    WorkOrder.objects.filter(pk=accepted.pk).update(origin=Origin.RULE.value)
    other = factories.make_order_by_hand(accepted.conveyor)
    WorkOrder.objects.filter(pk=other.pk).update(origin=Origin.RULE.value, case=accepted.case)

    with pytest.raises(HypothesisHasOpenOrder, match=other.number):
        moving.move_order(
            order_id=accepted.pk, to_state=OrderState.PROPOSED, by=None, now=NOW, why="after all"
        )
