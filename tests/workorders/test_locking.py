"""Who changes several rows takes them in one order, and judges them once they are held."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders.lives_rows import reckon, wear_down
from tests.workorders.plan_rows import make_plannable, worked_out
from workorders.life_subjects import LifeSubject
from workorders.models import PlanRun
from workorders.order_states import OrderState
from workorders.services import due_raising, keeping_costs, moving, plan_taking

NOW = datetime(2026, 11, 2, 12, tzinfo=UTC)

pytestmark = pytest.mark.django_db


def _locked(told: CaptureQueriesContext, table: str) -> list[tuple[int, str]]:
    """The statements that lock rows of a table, each with its place among all."""
    return [
        (place, one["sql"])
        for place, one in enumerate(told.captured_queries)
        if f'FROM "{table}"' in one["sql"] and "FOR " in one["sql"].split("WHERE")[-1]
    ]


@pytest.mark.parametrize("act", ["take", "put_back"])
def test_all_orders_of_a_proposal_are_held_before_the_first_is_moved(act: str):
    first, second = make_plannable()
    run = worked_out(first.conveyor.plant)
    if act == "put_back":
        plan_taking.take(run_id=run.pk, by=None, now=timezone.now())

    with CaptureQueriesContext(connection) as told:
        getattr(plan_taking, act)(run_id=run.pk, by=None, now=timezone.now())

    _place, sql = _locked(told, "workorders_workorder")[0]
    assert f"{first.pk}, {second.pk}" in sql or f"{second.pk}, {first.pk}" in sql
    run.refresh_from_db()
    assert run.state in {PlanRun.State.TAKEN, PlanRun.State.PUT_BACK}


def test_costs_take_the_lists_before_the_plant_as_raising_from_the_lists_does():
    conveyor = make_complete_conveyor(make_plant(), tag="Q30")
    wear_down(conveyor, "Head pulley", [6.0, 5.0], now=NOW)
    items = reckon(conveyor, now=NOW)
    costs = keeping_costs.Costs(Decimal(100), Decimal(900))

    with CaptureQueriesContext(connection) as keeping:
        keeping_costs.keep_costs(
            plant=conveyor.plant,
            subject=LifeSubject.LAGGING,
            costs=costs,
            version=None,
            by=None,
            now=NOW,
        )
    with CaptureQueriesContext(connection) as raising:
        due_raising.raise_due(item_ids=[items[0].pk], by_month=True, by=None, now=NOW)

    for told in (keeping, raising):
        lists, plants = (_locked(told, one) for one in ("workorders_duestate", "plant_plant"))
        assert lists[0][0] < plants[0][0]


def test_an_order_approved_while_all_are_taken_back_is_not_declined(
    monkeypatch: pytest.MonkeyPatch,
):
    conveyor = make_complete_conveyor(make_plant(), tag="Q30")
    wear_down(conveyor, "Head pulley", [6.0, 5.0], now=NOW)
    raised = due_raising.raise_due(
        item_ids=[one.pk for one in reckon(conveyor, now=NOW)], by_month=True, by=None, now=NOW
    )
    [order] = raised.orders
    lock = due_raising.lock_orders

    def approved_first(keys: set[int]):
        moving.move_order(order_id=order.pk, to_state=OrderState.APPROVED, by=None, now=NOW)
        return lock(keys)

    monkeypatch.setattr(due_raising, "lock_orders", approved_first)

    assert due_raising.take_back(together=raised.together, by=None, now=NOW) == (0, 1)

    order.refresh_from_db()
    assert order.state == "approved"
