"""Splitting orders: what goes, what stays, what both say, and the case that follows both."""

from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest
from django.db import connection

from diagnostics.case_states import CaseState
from plant.models import Plant
from tests.workorders import factories, part_rows, suggested
from tests.workorders.booked_rows import book
from tests.workorders.kin_rows import LATER, make_work, split, steps_of
from tests.workorders.test_linking import link
from workorders.models import WorkOrder
from workorders.order_states import OPEN_STATES, OrderState
from workorders.services import doing, linking, raising_from_finding, withdrawing
from workorders.services.locking import OrderChangedMeanwhile
from workorders.services.part_stock import CountedInWhole
from workorders.services.splitting import SplitRefused
from workorders.services.waiting import OrderIsNotOpen
from workorders.services.withdrawing import WorkIsUnderWay

pytestmark = pytest.mark.django_db


@pytest.fixture
def work(plant: Plant) -> WorkOrder:
    return make_work(factories.make_conveyor(plant), "isolate", "lift the belt", "fit rolls", "try")


def test_steps_that_go_are_numbered_anew_on_both_sides(work: WorkOrder) -> None:
    new = split(work, 2, 4, title="Lift and try")

    assert steps_of(work) == [(1, "isolate"), (2, "fit rolls")]
    assert steps_of(new) == [(1, "lift the belt"), (2, "try")]
    assert (new.title, new.number, new.conveyor) == ("Lift and try", "LT-W-0002", work.conveyor)
    assert new.split_from == work


def test_both_logs_tell_of_it(work: WorkOrder) -> None:
    new = split(work, 2)

    both = (work.number, new.number)
    assert list(work.changes.values_list("kind", "before", "after")) == [("split", *both)]
    assert list(new.changes.values_list("kind", "before", "after")) == [("split_off", *both)]
    assert new.moves.get().why == f"Split off from {work.number}."


def test_what_keeps_people_safe_stands_on_both(work: WorkOrder) -> None:
    new = split(work, 2)

    for name in (
        "cautions",
        "needs_isolation",
        "urgency",
        "urgency_reasons",
        "component",
        "due_on",
    ):
        assert getattr(new, name) == getattr(work, name)
    assert new.cautions


@pytest.mark.parametrize("state", OrderState)
def test_only_open_work_is_split_and_the_rest_waits_for_a_time_of_its_own(
    work: WorkOrder, state: OrderState
) -> None:
    factories.bring_to(work, state)

    if state in OPEN_STATES:
        new = split(work, 2)
        expected = OrderState.PROPOSED if state is OrderState.PROPOSED else OrderState.APPROVED
        assert (new.state, new.planned_for) == (expected, None)
        assert work.state == state
    else:
        with pytest.raises(OrderIsNotOpen):
            split(work, 2)
        assert WorkOrder.objects.count() == 1


@pytest.mark.parametrize(
    ("places", "rest", "match"),
    [
        ((), {}, "Choose what goes"),
        ((1, 2, 3, 4), {}, "No step would be left"),
        ((2, 9), {}, "changed meanwhile"),
        ((2,), {"title": " "}, "what the new order is for"),
        ((), {"amounts": {987654: Decimal(1)}}, "parts were changed"),
    ],
)
def test_a_split_that_leaves_nothing_right_is_refused_whole(
    work: WorkOrder, places: tuple[int, ...], rest: dict[str, object], match: str
) -> None:
    with pytest.raises(SplitRefused, match=match):
        split(work, *places, **rest)

    assert WorkOrder.objects.count() == 1
    assert work.steps.count() == 4


def test_a_step_that_is_done_stays(work: WorkOrder) -> None:
    factories.bring_to(work, OrderState.IN_HAND)
    doing.tick_step(order_id=work.pk, place=2, by=None, now=LATER)

    with pytest.raises(SplitRefused, match="stays where it was done"):
        split(work, 2)


def test_hours_go_with_the_steps_or_as_said(work: WorkOrder) -> None:
    WorkOrder.objects.filter(pk=work.pk).update(hours=Decimal(6))
    work.steps.filter(place=2).update(hours=Decimal("1.5"))

    first = split(work, 2)
    assert (work.hours, first.hours) == (Decimal("4.5"), Decimal("1.5"))
    second = split(work, hours=Decimal(2), title="Half of it")

    assert (work.hours, second.hours, second.steps.count()) == (Decimal("2.5"), 2, 0)


def test_reserved_parts_go_by_amount_and_used_ones_stay(plant: Plant, work: WorkOrder) -> None:
    rolls, bolts = part_rows.make_part(plant, "20"), part_rows.make_part(plant, "9")
    line, all_go = part_rows.need(work, rolls, "10", used="4"), part_rows.need(work, bolts, "3")

    with pytest.raises(SplitRefused, match="at most 6"):
        split(work, amounts={line.pk: Decimal(7)})
    with pytest.raises(CountedInWhole):
        split(work, amounts={line.pk: Decimal("1.5")})
    new = split(work, amounts={line.pk: Decimal(5), all_go.pk: Decimal(3)})

    kept = list(work.order_parts.values_list("part", "amount", "used"))
    assert kept == [(rolls.pk, Decimal(5), Decimal(4))]
    gone = set(new.order_parts.values_list("part", "amount", "used"))
    assert gone == {(rolls.pk, Decimal(5), Decimal(0)), (bolts.pk, Decimal(3), Decimal(0))}


def test_the_rest_may_follow_and_both_keep_what_the_whole_waited_for(
    plant: Plant, work: WorkOrder
) -> None:
    earlier, follower = (make_work(work.conveyor) for _one in range(2))
    link(work, earlier)
    link(follower, work)

    new = split(work, 2, follows=True)

    assert set(new.waits_for.values_list("after", flat=True)) == {earlier.pk, work.pk}
    assert set(follower.waits_for.values_list("after", flat=True)) == {work.pk, new.pk}
    with pytest.raises(linking.WouldWaitForItself):
        link(work, new)


def test_booked_time_stays_and_goes_on_naming_the_step(work: WorkOrder) -> None:
    factories.bring_to(work, OrderState.IN_HAND)
    (row,) = book(work, step=work.steps.get(place=3))

    split(work, 3)

    row.refresh_from_db()
    assert (row.order, row.step, row.step_words) == (work, None, "3. fit rolls")


def test_the_cause_stays_with_one_order_and_the_case_waits_for_both() -> None:
    order = factories.make_order()
    new = split(order, 2)
    assert (order.hypothesis is not None, new.hypothesis, new.case, new.cause) == (
        True,
        None,
        order.case,
        order.cause,
    )

    states = []
    factories.bring_to(order, OrderState.DONE)
    order.case.refresh_from_db()
    states.append(order.case.state)
    factories.bring_to(new, OrderState.DONE)
    order.case.refresh_from_db()
    states.append(order.case.state)

    assert states == [CaseState.MENDED, CaseState.ON_PROOF]


def test_a_cause_taken_back_takes_what_was_split_off_with_it() -> None:
    order = factories.make_order()
    new = split(order, 2, 3)
    newest = split(new, 2)

    withdrawing.withdraw_orders_of_cause(
        hypothesis=order.hypothesis, by=None, now=LATER, why="it was the splice"
    )

    for one in (order, new, newest):
        one.refresh_from_db()
        assert one.state == OrderState.CANCELLED


def test_a_cause_is_not_taken_back_while_hands_are_on_what_was_split_off() -> None:
    order = factories.make_order()
    new = split(order, 2)
    factories.bring_to(new, OrderState.IN_HAND)

    with pytest.raises(WorkIsUnderWay, match=new.number):
        withdrawing.withdraw_orders_of_cause(
            hypothesis=order.hypothesis, by=None, now=LATER, why="it was the splice"
        )


def test_what_the_site_only_suggested_is_approved_before_it_is_split() -> None:
    finding = suggested.find(suggested.make_looked_at())
    order = raising_from_finding.raise_from_finding(finding_id=finding.pk, by=None, now=LATER)

    with pytest.raises(SplitRefused, match="only suggested"):
        split(order, 2)

    factories.bring_to(order, OrderState.APPROVED)
    assert split(order, 2).state == OrderState.APPROVED


def test_a_stale_page_splits_nothing(work: WorkOrder) -> None:
    with pytest.raises(OrderChangedMeanwhile):
        split(work, 2, version=work.version + 1)


@pytest.mark.django_db(transaction=True)
def test_of_two_planners_splitting_at_once_one_is_refused(plant: Plant) -> None:
    work = make_work(factories.make_conveyor(plant), "isolate", "lift", "fit", "try")

    def attempt(place: int) -> str:
        try:
            return split(WorkOrder.objects.get(pk=work.pk), place, version=work.version).number
        except OrderChangedMeanwhile as refusal:
            return refusal.code
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        answers = sorted(pool.map(attempt, [2, 3], timeout=60))

    assert answers == ["LT-W-0002", "order_changed_meanwhile"]
    assert [place for place, _what in steps_of(work)] == [1, 2, 3]
