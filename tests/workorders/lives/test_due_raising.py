"""Orders for what is due: one step, never twice, taken back in one step."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
from django.db import IntegrityError, connection

from diagnostics import knowledge_files
from plant.loop.condition import Quantity
from plant.models import Conveyor
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders.lives_rows import reckon, wear_down
from workorders.models import DueItem, DueOrder, WorkOrder
from workorders.order_origins import Origin
from workorders.order_states import OrderState
from workorders.services import due_raising, keeping_limits, moving
from workorders.services.due_raising import NothingIsDue, RaisedDue
from workorders.services.keeping_limits import NewLimit

NOW = datetime(2026, 11, 2, 12, tzinfo=UTC)
TODAY = NOW.date()
SHELL = Quantity.ROLL_SHELL_THICKNESS


@pytest.fixture
def conveyor(db: None) -> Conveyor:
    return make_complete_conveyor(make_plant(), tag="Q30")


def raise_all(items: list[DueItem], *, by_month: bool = True) -> RaisedDue:
    pks = [one.pk for one in items]
    return due_raising.raise_due(item_ids=pks, by_month=by_month, by=None, now=NOW)


def worn(conveyor: Conveyor) -> list[DueItem]:
    """The head's lagging in a hundred days; three sets of rolls in two months of next year."""
    wear_down(conveyor, "Head pulley", [6.0, 5.0], now=NOW)
    for number, last in ((3, 2.4), (4, 2.45), (20, 3.2)):
        of_set = {"set_number": number, "spot": "centre roll"}
        wear_down(conveyor, "C", [last + 1, last], quantity=SHELL, now=NOW, **of_set)
    return reckon(conveyor, now=NOW)


def test_one_order_per_belt_month_and_kind_of_work(conveyor: Conveyor):
    raised = raise_all(worn(conveyor))

    titles = sorted(one.title for one in raised.orders)
    # Sets 3 and 4 meet 2 mm in 40 and 45 days, set 20 in 120.
    assert titles == [
        "Renew lagging: Head pulley",
        "Renew rolls: C20",
        "Renew rolls: C3, C4",
    ]


def test_an_order_says_all_that_its_rows_said(conveyor: Conveyor):
    raise_all(worn(conveyor))

    order = WorkOrder.objects.get(title="Renew rolls: C3, C4")
    method = knowledge_files.work_methods()["replace-carrying-rolls"]
    steps = [one.what for one in order.steps.all()]
    assert order.state == OrderState.PROPOSED
    assert order.origin == Origin.REPLACEMENT.value
    assert order.due_on == TODAY + timedelta(days=40)
    assert order.work_method == method.slug
    assert steps[: len(method.steps)] == [one.what for one in method.steps]
    assert steps[-2].startswith("C3: renew 1 roll")
    assert steps[-1].startswith("C4: renew 1 roll")
    assert order.parts[:2] == ["1 roll (Q30 C3)", "1 roll (Q30 C4)"]
    assert order.cautions


def test_one_order_per_row_names_its_place(conveyor: Conveyor):
    raised = raise_all(worn(conveyor), by_month=False)

    assert len(raised.orders) == 4
    order = WorkOrder.objects.get(title="Renew rolls: C20")
    assert (order.component, order.position_m) == ("C20", pytest.approx(6 + 19 * 1.5))


def test_a_row_with_an_open_order_gets_no_second_one(conveyor: Conveyor):
    items = worn(conveyor)
    first = raise_all(items[:2])

    second = raise_all(items)

    assert {item.pk for item, _order in second.standing} == {one.pk for one in items[:2]}
    assert {order.pk for _item, order in second.standing} == {one.pk for one in first.orders}
    with pytest.raises(NothingIsDue):
        raise_all(items)


def test_reckoning_anew_does_not_free_a_row(conveyor: Conveyor):
    items = worn(conveyor)
    raise_all(items)

    with pytest.raises(NothingIsDue):
        raise_all(reckon(conveyor, now=NOW + timedelta(days=1)))


def test_what_one_press_raised_is_taken_back_but_for_what_went_on(conveyor: Conveyor):
    items = worn(conveyor)
    raised = raise_all(items)
    moving.move_order(order_id=raised.orders[0].pk, to_state=OrderState.APPROVED, by=None, now=NOW)

    assert due_raising.take_back(together=raised.together, by=None, now=NOW) == (2, 1)

    states = sorted(WorkOrder.objects.values_list("state", flat=True))
    assert states == ["approved", "declined", "declined"]
    assert len(raise_all(items).orders) == 2


def test_the_earliest_day_is_that_of_the_interval(conveyor: Conveyor):
    wear_down(conveyor, "Head pulley", [8.0, 7.1, 6.0, 4.95], now=NOW)
    (item,) = reckon(conveyor, now=NOW)
    assert item.due_from is not None

    (order,) = raise_all([item]).orders

    assert (order.earliest_on, order.due_on) == (item.due_from, item.due_on)
    assert TODAY < order.earliest_on <= order.due_on


def test_a_belt_has_no_work_method_and_its_order_keeps_the_cautions(conveyor: Conveyor):
    wear_down(conveyor, "", [3.5, 2.5], quantity=Quantity.CARRY_COVER_THICKNESS, now=NOW)

    (order,) = raise_all(reckon(conveyor, now=NOW)).orders

    assert order.title.startswith("Renew the belt: ")
    assert order.work_method == ""
    assert order.cautions
    assert order.needs_isolation


def test_a_take_up_that_runs_out_asks_for_a_shorter_belt_and_no_part(conveyor: Conveyor):
    used = Quantity.TAKE_UP_TRAVEL_USED
    take_up = conveyor.components.get(name="Take-up")
    new = NewLimit(used, 2.0, conveyor, take_up)
    keeping_limits.set_limit(plant=conveyor.plant, new=new, by=None, now=NOW)
    wear_down(conveyor, "Take-up", [1.2, 1.6], quantity=used, spot="", now=NOW)

    (order,) = raise_all(reckon(conveyor, now=NOW)).orders

    assert order.title == "Shorten the belt: Take-up"
    assert not any("Take-up" in part for part in order.parts)


def test_the_database_refuses_a_second_standing_order(conveyor: Conveyor):
    raise_all(worn(conveyor))
    link = DueOrder.objects.all()[0]
    link.pk = None

    with pytest.raises(IntegrityError):
        link.save()


@pytest.mark.django_db(transaction=True)
def test_of_two_who_raise_together_one_gets_the_orders():
    conveyor = make_complete_conveyor(make_plant(), tag="Q30")
    items = worn(conveyor)

    def attempt(_turn: int) -> int:
        try:
            return len(raise_all(items).orders)
        except NothingIsDue:
            return 0
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        counts = sorted(pool.map(attempt, range(2)))

    assert counts == [0, 3]
    assert WorkOrder.objects.count() == 3
