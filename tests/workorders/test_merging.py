"""Merging orders: what the one that goes on takes over, what is refused, how one comes back."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from decimal import Decimal
from itertools import product

import pytest
from django.db import connection

from diagnostics.case_states import CaseState
from plant.models import Plant
from tests.workorders import factories, part_rows, sheet_rows
from tests.workorders.kin_rows import LATER, come_back, make_work, merge, split, steps_of
from tests.workorders.test_linking import link
from workorders.models import OrderLink, WorkOrder
from workorders.order_states import OPEN_STATES, OrderState
from workorders.services import doing, linking, moving, placing, withdrawing
from workorders.services.locking import OrderChangedMeanwhile
from workorders.services.merging import MergeRefused, order_that_goes_on
from workorders.services.waiting import OrderIsNotOpen

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(plant: Plant) -> tuple[WorkOrder, WorkOrder]:
    conveyor = factories.make_conveyor(plant)
    return make_work(conveyor, "isolate", "fit rolls"), make_work(conveyor, "clean", "grease")


def test_the_order_that_goes_on_asks_for_all_steps_and_the_other_says_where_it_went(
    pair: tuple[WorkOrder, WorkOrder],
) -> None:
    into, other = pair

    merge(into, other)

    assert steps_of(into) == [(1, "isolate"), (2, "fit rolls"), (3, "clean"), (4, "grease")]
    assert (other.state, other.merged_into) == (OrderState.CANCELLED, into)
    assert other.moves.last().why == f"Merged into {into.number}."
    change = into.changes.get(kind="merged")
    assert (change.before, change.after) == (other.number, into.number)
    # What it said stays to be read.
    assert steps_of(other) == [(1, "clean"), (2, "grease")]


def test_the_figures_of_all_count(pair: tuple[WorkOrder, WorkOrder]) -> None:
    into, other = pair
    rows = WorkOrder.objects
    rows.filter(pk=into.pk).update(
        hours=Decimal(2), urgency="watch", due_on=date(2027, 1, 9), cautions=["Lock it."]
    )
    rows.filter(pk=other.pk).update(
        hours=Decimal("1.5"),
        urgency="this_shift",
        urgency_reasons=["It rubs."],
        due_on=date(2026, 12, 4),
        cautions=["Hot work."],
        waiting_for="parts",
        waiting_why="rolls on Friday",
    )

    merge(into, other)

    assert (into.hours, into.due_on) == (Decimal("3.5"), date(2026, 12, 4))
    assert (into.urgency, into.urgency_reasons[0]) == ("this_shift", "It rubs.")
    assert into.cautions == ["Lock it.", "Hot work."]
    assert (into.waiting_for, into.waiting_why) == ("parts", "rolls on Friday")
    change = into.changes.get(kind="urgency")
    assert (change.before, change.after) == ("watch", "this_shift")


def test_steps_of_elsewhere_say_where_and_a_correction_becomes_a_step(
    pair: tuple[WorkOrder, WorkOrder],
) -> None:
    into, other = pair
    WorkOrder.objects.filter(pk=other.pk).update(component="R12", correction=factories.CORRECTION)

    merge(into, other)

    added = [what for place, what in steps_of(into) if place > 2]
    assert added == [
        "Shift: return idler, R9 to R12, 2 mm, "
        "advance the end on the left (sea side) toward the tail",
        "R12: clean",
        "R12: grease",
    ]


def test_parts_are_wanted_by_one_order_and_used_ones_stay_where_they_were_used(
    plant: Plant, pair: tuple[WorkOrder, WorkOrder]
) -> None:
    into, other = pair
    rolls, bolts = part_rows.make_part(plant, "20"), part_rows.make_part(plant, "9")
    part_rows.need(into, rolls, "4", used="1")
    part_rows.need(other, rolls, "6", used="2")
    part_rows.need(other, bolts, "3")

    merge(into, other)

    lines = dict(into.order_parts.values_list("part", "amount"))
    assert lines == {rolls.pk: Decimal(8), bolts.pk: Decimal(3)}
    assert into.order_parts.get(part=rolls).used == 1
    assert other.order_parts.get(part=rolls).used == 2


def test_the_place_on_the_outage_sheet_of_what_went_becomes_free(plant: Plant) -> None:
    conveyor = factories.make_conveyor(plant)
    crew, window = sheet_rows.make_crew(plant), sheet_rows.make_window(conveyor)
    into, other = (sheet_rows.make_approved(conveyor) for _one in range(2))
    for order in (into, other):
        placing.place_order(
            order_id=order.pk, place=sheet_rows.place_in(window, crew), by=None, now=factories.NOW
        )

    merge(into, other)

    assert (other.window, other.crew, other.planned_for) == (None, None, None)
    assert (into.window, into.crew) == (window, crew)


@pytest.mark.parametrize(
    ("into_state", "other_state"),
    list(product(OrderState, [OrderState.APPROVED]))
    + list(product([OrderState.APPROVED], OrderState)),
)
def test_open_work_goes_into_open_work_unless_hands_are_on_it(
    pair: tuple[WorkOrder, WorkOrder], into_state: OrderState, other_state: OrderState
) -> None:
    into, other = pair
    factories.bring_to(into, into_state)
    factories.bring_to(other, other_state)

    if not {into_state, other_state} <= OPEN_STATES:
        with pytest.raises(OrderIsNotOpen):
            merge(into, other)
    elif other_state is OrderState.IN_HAND:
        with pytest.raises(MergeRefused, match="is in hand"):
            merge(into, other)
    else:
        merge(into, other)
        assert (into.state, other.state) == (into_state, OrderState.CANCELLED)
        return
    assert (into.state, other.state) == (into_state, other_state)
    assert into.steps.count() == 2


def test_only_orders_of_one_conveyor_become_one(plant: Plant) -> None:
    one, other = (make_work(factories.make_conveyor(plant)) for _one in range(2))

    with pytest.raises(MergeRefused, match="same conveyor"):
        merge(one, other)


def test_more_hours_than_an_order_holds_are_refused(pair: tuple[WorkOrder, WorkOrder]) -> None:
    WorkOrder.objects.filter(pk__in=[one.pk for one in pair]).update(hours=Decimal("5000.5"))

    with pytest.raises(MergeRefused, match="9999 hours"):
        merge(*pair)


def test_orders_of_two_accepted_causes_stay_two() -> None:
    first = factories.make_order()
    second = factories.make_order(
        factories.make_accepted_cause(first.case, "off_centre_loading", component="LOAD")
    )

    with pytest.raises(MergeRefused, match="each stand for a cause"):
        merge(first, second)

    assert WorkOrder.objects.open().count() == 2


def test_orders_of_two_cases_stay_two() -> None:
    first = factories.make_order()
    second = split(factories.make_order(factories.make_accepted_cause(
        factories.make_case(first.conveyor)
    )), 2)  # fmt: skip

    with pytest.raises(MergeRefused, match="different cases"):
        merge(first, second)


def test_the_order_that_stands_for_a_cause_goes_on() -> None:
    order = factories.make_order()
    rest = split(order, 2)
    by_hand = make_work(order.conveyor)

    assert order_that_goes_on([by_hand, rest, order]) == order
    assert order_that_goes_on([by_hand, rest]) == rest
    assert order_that_goes_on([by_hand, make_work(order.conveyor)]) == by_hand


def test_a_split_is_undone_by_merging_and_the_case_follows_one_order_again() -> None:
    order = factories.make_order()
    factories.bring_to(order, OrderState.APPROVED)
    steps = sorted(what for _place, what in steps_of(order))
    hours = order.hours
    rest = split(order, 2, 3)

    merge(order, rest)

    assert sorted(what for _place, what in steps_of(order)) == steps
    assert order.hours == hours
    order.case.refresh_from_db()
    assert order.case.state == CaseState.MENDED
    for state in (OrderState.IN_HAND, OrderState.DONE):
        moving.move_order(order_id=order.pk, to_state=state, by=None, now=LATER)
    order.case.refresh_from_db()
    assert order.case.state == CaseState.ON_PROOF


def test_what_waited_for_any_of_them_waits_for_the_one(
    pair: tuple[WorkOrder, WorkOrder],
) -> None:
    into, other = pair
    earlier, follower = (make_work(into.conveyor) for _one in range(2))
    link(other, earlier)
    link(follower, other)
    link(other, into)

    merge(into, other)

    assert OrderLink.objects.filter(order=into, after=earlier).exists()
    assert OrderLink.objects.filter(order=follower, after=into).exists()
    assert not OrderLink.objects.filter(order=into, after__in=[into, other]).exists()


def test_orders_with_one_between_them_do_not_become_one(
    pair: tuple[WorkOrder, WorkOrder],
) -> None:
    into, other = pair
    between = make_work(into.conveyor)
    link(into, between)
    link(between, other)

    with pytest.raises(linking.WouldWaitForItself, match=between.number):
        merge(into, other)

    other.refresh_from_db()
    assert other.state == OrderState.PROPOSED


def test_a_merged_order_comes_back_with_its_steps_hours_and_parts(
    plant: Plant, pair: tuple[WorkOrder, WorkOrder]
) -> None:
    into, other = pair
    WorkOrder.objects.filter(pk=into.pk).update(hours=Decimal(2))
    WorkOrder.objects.filter(pk=other.pk).update(hours=Decimal("1.5"))
    rolls, bolts = part_rows.make_part(plant, "20"), part_rows.make_part(plant, "9")
    part_rows.need(into, rolls, "4")
    part_rows.need(other, rolls, "6")
    part_rows.need(other, bolts, "3")
    merge(into, other)

    come_back(other)

    into.refresh_from_db()
    assert (other.state, other.merged_into) == (OrderState.PROPOSED, None)
    assert steps_of(into) == [(1, "isolate"), (2, "fit rolls")]
    assert steps_of(other) == [(1, "clean"), (2, "grease")]
    assert (into.hours, other.hours) == (2, Decimal("1.5"))
    assert dict(into.order_parts.values_list("part", "amount")) == {rolls.pk: 4}
    assert dict(other.order_parts.values_list("part", "amount")) == {rolls.pk: 6, bolts.pk: 3}
    assert into.changes.filter(kind="unmerged").exists()


def test_what_was_ticked_meanwhile_stays_where_it_was_ticked(
    pair: tuple[WorkOrder, WorkOrder],
) -> None:
    into, other = pair
    merge(into, other)
    factories.bring_to(into, OrderState.IN_HAND)
    doing.tick_step(order_id=into.pk, place=3, by=None, now=LATER)

    come_back(other)

    assert steps_of(into) == [(1, "isolate"), (2, "fit rolls"), (3, "clean")]


def test_an_order_comes_back_from_work_that_is_over_without_changing_it(
    pair: tuple[WorkOrder, WorkOrder],
) -> None:
    into, other = pair
    merge(into, other)
    factories.bring_to(into, OrderState.DONE)

    come_back(other)

    assert into.steps.count() == 4
    assert other.state == OrderState.PROPOSED


def test_work_of_its_own_comes_back_when_the_cause_it_went_along_with_is_taken_back() -> None:
    order = factories.make_order()
    rest = split(order, 2)
    by_hand = make_work(order.conveyor, "grease")
    merge(order, rest, by_hand)

    withdrawing.withdraw_orders_of_cause(
        hypothesis=order.hypothesis, by=None, now=LATER, why="it was the splice"
    )

    for one in (order, rest, by_hand):
        one.refresh_from_db()
    assert (order.state, rest.state) == (OrderState.CANCELLED, OrderState.CANCELLED)
    assert (by_hand.state, by_hand.merged_into) == (OrderState.PROPOSED, None)


def test_whoever_saw_one_of_them_otherwise_merges_nothing(
    pair: tuple[WorkOrder, WorkOrder],
) -> None:
    into, other = pair

    for seen in ({into.pk: 1}, {into.pk: 1, other.pk: 2}, {}):
        with pytest.raises(OrderChangedMeanwhile):
            merge(into, other, seen=seen)


@pytest.mark.django_db(transaction=True)
def test_two_planners_who_merge_in_opposite_ways_do_not_lose_both_orders(plant: Plant) -> None:
    conveyor = factories.make_conveyor(plant)

    def attempt(way: tuple[WorkOrder, WorkOrder]) -> str:
        try:
            into, other = (WorkOrder.objects.get(pk=one.pk) for one in way)
            merge(into, other, seen={one.pk: 1 for one in way})
            return "merged"
        except OrderChangedMeanwhile as refusal:
            return refusal.code
        finally:
            connection.close()

    for _turn in range(3):
        pair = [make_work(conveyor, "clean") for _one in range(2)]

        with ThreadPoolExecutor(2) as pool:
            answers = sorted(pool.map(attempt, [tuple(pair), tuple(pair[::-1])], timeout=60))

        assert answers == ["merged", "order_changed_meanwhile"]
        assert WorkOrder.objects.open().filter(pk__in=[one.pk for one in pair]).count() == 1
