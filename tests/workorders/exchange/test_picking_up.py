"""Status files: each row once, by the rules of the pages, whatever happens in between."""

import csv
from pathlib import Path

import pytest
from django.utils import timezone

from plant.models import ConnectedSystem, ExchangeSetting, FeedArrival, Plant, WordingEntry
from tests.workorders import factories
from tests.workorders.exchange.left_files import in_hand, outcomes, take
from tests.workorders.exchange_rows import folder, names, set_up
from workorders.models import (
    OrderMove,
    OrderNote,
    StatusFile,
    TimeBooking,
    WorkOrder,
)
from workorders.order_states import OrderState
from workorders.services import moving

pytestmark = pytest.mark.django_db
State = StatusFile.State


def test_a_row_is_done_as_by_the_system(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    in_hand(order)
    file = take(
        root,
        setting,
        "number,state,hours,note,set_external_number\n"
        f"{order.number},done,3.5,two bolts renewed,10-4471\n",
    )

    assert (file.state, outcomes(file)) == (State.DONE, [("taken", "")])
    order.refresh_from_db()
    assert (order.state, order.external_number) == ("done", "10-4471")
    booking, note = TimeBooking.objects.get(), OrderNote.objects.get()
    assert (float(booking.hours), booking.worker_name) == (3.5, "Stores system")
    assert note.words == "two bolts renewed"
    move = OrderMove.objects.latest("pk")
    assert {move.by_key, note.by_key, booking.booked_by_key} == {"Stores system"}
    assert FeedArrival.objects.filter(of="work_order").latest("pk").by_key == setting.acts_as


def test_the_report_lies_beside_the_moved_file(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    take(root, setting, f"number,state\n{order.number},approved\nLT-W-9999,approved\nLT-W-1,x\n")

    assert names(root, setting, "in") == []
    assert names(root, setting, "done") == ["a.csv", "a.csv.report.csv"]
    report = (folder(root, setting, "done") / "a.csv.report.csv").read_text()
    assert [row[:4] for row in csv.reader(report.splitlines())] == [
        ["row", "order", "outcome", "code"],
        ["2", order.number, "taken", ""],
        ["3", "LT-W-9999", "refused", "no_such_order"],
        ["4", "LT-W-1", "refused", "unknown_state"],
    ]


def test_the_same_file_again_does_nothing_twice(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    in_hand(order)
    text = f"number,hours,note\n{order.number},2,greased\n"
    first = take(root, setting, text)
    second = take(root, setting, text, "b.csv")
    third = take(root, setting, text)

    assert [outcomes(one) for one in (first, second, third)] == [
        [("taken", "")],
        [("already", "")],
        [("already", "")],
    ]
    assert (TimeBooking.objects.count(), OrderNote.objects.count()) == (1, 1)
    assert names(root, setting, "done")[:2] == ["a-2.csv", "a-2.csv.report.csv"]


def test_a_row_is_known_by_its_id_in_whatever_file(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    in_hand(order)
    take(root, setting, f"id,number,hours\n77,{order.number},2\n")

    file = take(root, setting, f"id,number,hours\n77,{order.number},2\n78,{order.number},2\n")

    assert outcomes(file) == [("already", ""), ("taken", "")]
    assert TimeBooking.objects.count() == 2


def test_two_rows_of_a_file_that_say_the_same_are_two_rows(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    in_hand(order)
    take(root, setting, f"number,hours\n{order.number},2\n{order.number},2\n")

    assert TimeBooking.objects.count() == 2


def test_a_refused_row_may_come_again(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    text = f"number,hours\n{order.number},2\n"
    assert outcomes(take(root, setting, text)) == [("refused", "no_time_is_booked_yet")]
    in_hand(order)

    assert outcomes(take(root, setting, text)) == [("taken", "")]


def test_a_row_is_taken_whole_or_not_at_all(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    in_hand(order)
    # The hours could be booked, the move is none: neither stays.
    file = take(root, setting, f"number,hours,state\n{order.number},2,proposed\n")

    assert outcomes(file) == [("refused", "illegal_order_move")]
    assert not TimeBooking.objects.exists()


def test_a_state_that_stands_already_is_said_so(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    file = take(root, setting, f"number,state\n{order.number},proposed\n")

    assert outcomes(file) == [("already", "")]
    assert "stands so already" in file.rows.get().why


def test_orders_of_another_plant_are_not_there(root: Path, setting: ExchangeSetting) -> None:
    theirs = factories.make_order()
    WorkOrder.objects.filter(pk=theirs.pk).update(external_number="10-1")

    file = take(
        root, setting, f"number,external_number,note\n{theirs.number},,x\n,10-1,x\n", "a.csv"
    )

    assert outcomes(file) == [("refused", "no_such_order")] * 2
    assert not OrderNote.objects.exists()


def test_an_order_is_found_by_its_number_in_the_other_system(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    WorkOrder.objects.filter(pk=order.pk).update(external_number="10-4471")
    twin = factories.make_order_by_hand(order.conveyor)

    first = take(root, setting, "external_number,note\n10-4471,greased\n")
    WorkOrder.objects.filter(pk=twin.pk).update(external_number="10-4471")
    second = take(root, setting, "external_number,note\n10-4471,again\n")
    third = take(root, setting, f"number,external_number,note\n{order.number},10-1,again\n")

    assert outcomes(first) == [("taken", "")]
    assert outcomes(second) == [("refused", "several_orders")]
    assert outcomes(third) == [("refused", "numbers_disagree")]


def test_a_version_that_is_past_refuses_the_row(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    version = order.version
    moving.move_order(order_id=order.pk, to_state=OrderState.APPROVED, by=None, now=timezone.now())
    file = take(root, setting, f"number,version,note\n{order.number},{version},x\n")

    assert outcomes(file) == [("refused", "order_changed_meanwhile")]


def test_a_system_speaks_its_own_words(root: Path, plant: Plant, order: WorkOrder) -> None:
    system = ConnectedSystem.objects.create(
        plant=plant, name="Stores", is_on=True, made_at=timezone.now()
    )
    words = (("order_state", "approved", "20-RELEASED"), ("order_state", "in_hand", "30-WORK"))
    for part, key, value in (*words, ("renamed:work_order", "number", "JobNo")):
        WordingEntry.objects.create(system=system, part=part, key=key, value=value)
    setting = set_up(plant, picks_up=True, system=system)

    file = take(
        root,
        setting,
        f"JobNo,State\n{order.number},20-RELEASED\n{order.number},99-GONE\n",
    )

    assert outcomes(file) == [("taken", ""), ("refused", "word_unknown")]
    order.refresh_from_db()
    assert order.state == "approved"
    gap = system.gaps.get()
    assert (gap.way, gap.part, gap.word) == ("in", "order_state", "99-GONE")
