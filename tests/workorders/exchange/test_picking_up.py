"""Status files: each row once, by the rules of the pages, whatever happens in between."""

import csv
import os
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from plant.models import ConnectedSystem, ExchangeSetting, FeedArrival, Plant, WordingEntry
from tests.workorders import factories
from tests.workorders.exchange_rows import folder, names, set_up
from workorders.models import (
    OrderMove,
    OrderNote,
    PickUp,
    StatusFile,
    StatusRow,
    TimeBooking,
    WorkOrder,
)
from workorders.order_states import OrderState
from workorders.services import moving
from workorders.services.picking_up import looking, taking_files, taking_rows

pytestmark = pytest.mark.django_db
State, Outcome = StatusFile.State, StatusRow.Outcome


@pytest.fixture
def setting(plant: Plant) -> ExchangeSetting:
    return set_up(plant, picks_up=True)


def leave(root: Path, setting: ExchangeSetting, text: str | bytes, name: str = "a.csv") -> Path:
    where = folder(root, setting, "in")
    where.mkdir(parents=True, exist_ok=True)
    content = text.encode() if isinstance(text, str) else text
    (where / name).write_bytes(content)
    return where / name


def look(*, after_s: float = 30) -> int:
    """As if the file had been seen so, and the folder looked at, some time ago."""
    looking._begin_new()
    for one in PickUp.objects.all():
        seen = {name: [*looks[:2], looks[2] - after_s] for name, looks in one.seen.items()}
        ago = timezone.now() - timedelta(seconds=after_s)
        PickUp.objects.filter(pk=one.pk).update(seen=seen, looked_at=ago)
    return looking.look_owed()


def take(
    root: Path, setting: ExchangeSetting, text: str | bytes, name: str = "a.csv"
) -> StatusFile:
    leave(root, setting, text, name)
    look()
    look()
    return StatusFile.objects.latest("pk")


def outcomes(file: StatusFile) -> list[tuple[str, str]]:
    return list(file.rows.values_list("outcome", "code"))


def in_hand(order: WorkOrder) -> WorkOrder:
    return factories.bring_to(order, OrderState.IN_HAND)


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


@pytest.mark.parametrize(
    ("text", "name", "code"),
    [
        (b"number,sate\nLT-W-0001,done\n", "a.csv", "unknown_column"),
        (b"state\ndone\n", "a.csv", "no_order_column"),
        (b"number\n\xff", "a.csv", "not_utf8"),
        (b"x", "a.txt", "unknown_ending"),
        (b"", "a.csv", "no_rows"),
    ],
)
def test_an_unreadable_file_is_put_away_whole_with_its_reason(
    root: Path, setting: ExchangeSetting, text: bytes, name: str, code: str
) -> None:
    file = take(root, setting, text, name)

    assert (file.state, file.refusal) == (State.REFUSED, code)
    assert names(root, setting, "refused") == [name, f"{name}.report.csv"]
    report = (folder(root, setting, "refused") / f"{name}.report.csv").read_text()
    assert code in report
    assert not StatusRow.objects.exists()


def test_a_file_that_grows_is_left_alone(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    path = leave(root, setting, "number,note\n")
    look()
    with path.open("a") as file:
        file.write(f"{order.number},greased\n")
    # Ten seconds have passed since it was first seen, and it is another one now.
    assert look() == 0
    assert not StatusFile.objects.exists()

    assert look() == 1


def test_a_file_is_taken_ten_seconds_after_it_was_seen_not_before(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    leave(root, setting, f"number,note\n{order.number},greased\n")
    assert look() == 0
    PickUp.objects.update(looked_at=None)

    assert looking.look_owed() == 0
    assert look(after_s=looking.EVERY.total_seconds()) == 1


@pytest.mark.parametrize("name", [".a.csv", "a.csv.part", "a.csv.tmp", "b.report.csv"])
def test_names_of_files_being_written_and_reports_are_left_alone(
    root: Path, setting: ExchangeSetting, name: str
) -> None:
    leave(root, setting, "number,note\nLT-W-0001,x\n", name)
    look()
    look()

    assert not StatusFile.objects.exists()
    assert names(root, setting, "in") == [name]


def test_a_link_is_put_away_unread(
    root: Path, setting: ExchangeSetting, order: WorkOrder, tmp_path_factory: Any
) -> None:
    secret = tmp_path_factory.mktemp("elsewhere") / "a.csv"
    secret.write_text(f"number,note\n{order.number},read\n")
    where = folder(root, setting, "in")
    where.mkdir(parents=True)
    (where / "a.csv").symlink_to(secret)
    look()

    file = StatusFile.objects.get()
    assert (file.state, file.refusal) == (State.REFUSED, "is_link")
    assert secret.exists()
    assert not OrderNote.objects.exists()
    assert (folder(root, setting, "refused") / "a.csv").is_symlink()


def test_pipes_and_folders_stop_nobody(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    where = folder(root, setting, "in")
    where.mkdir(parents=True)
    os.mkfifo(where / "0.csv")
    (where / "1.csv").mkdir()

    file = take(root, setting, f"number,note\n{order.number},greased\n")

    assert outcomes(file) == [("taken", "")]


def test_a_worker_that_dies_between_two_rows_is_followed_by_one_that_goes_on(
    root: Path, setting: ExchangeSetting, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_hand(order)
    leave(root, setting, "number,hours\n" + f"{order.number},1\n" * 3)
    look()
    keep = taking_rows.RowTaking.take

    def dying(self: Any, row: Any) -> Any:
        if row.number == 3:
            raise SystemExit
        return keep(self, row)

    with monkeypatch.context() as patched:
        patched.setattr(taking_rows.RowTaking, "take", dying)
        with pytest.raises(SystemExit):
            look()
    assert StatusFile.objects.get().state == State.TAKING
    assert TimeBooking.objects.count() == 1
    # Nobody else has it meanwhile.
    assert look() == 0

    PickUp.objects.update(worked_at=None)
    look()

    assert outcomes(StatusFile.objects.get()) == [("taken", "")] * 3
    assert TimeBooking.objects.count() == 3


@pytest.mark.parametrize("moment", ["put", "move", "mark"])
def test_a_worker_that_dies_while_putting_a_file_away_leaves_it_to_be_put_away_once(
    root: Path,
    setting: ExchangeSetting,
    order: WorkOrder,
    monkeypatch: pytest.MonkeyPatch,
    moment: str,
) -> None:
    leave(root, setting, f"number,note\n{order.number},greased\n")
    look()

    def dies(*_arguments: Any, **_more: Any) -> None:
        raise SystemExit

    with monkeypatch.context() as patched:
        where = {"put": "folders.put", "move": "folders.move", "mark": "_mark_ended"}[moment]
        patched.setattr(f"workorders.services.picking_up.taking_files.{where}", dies)
        with pytest.raises(SystemExit):
            look()
    PickUp.objects.update(worked_at=None)
    look()

    file = StatusFile.objects.get()
    assert file.state == State.DONE
    assert names(root, setting, "done") == ["a.csv", "a.csv.report.csv"]
    assert OrderNote.objects.count() == 1


def test_a_file_that_kills_each_worker_is_refused_in_the_end(
    root: Path, setting: ExchangeSetting, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    leave(root, setting, f"number,note\n{order.number},greased\n")
    look()

    def dies(*_arguments: Any) -> None:
        raise SystemExit

    with monkeypatch.context() as patched:
        patched.setattr(taking_files, "_take_rows", dies)
        for _ in range(3):
            with pytest.raises(SystemExit):
                look()
            PickUp.objects.update(worked_at=None)
        look()

    assert StatusFile.objects.get().refusal == "begun_too_often"


def test_a_failure_inside_refuses_its_row_and_takes_the_others(
    root: Path, setting: ExchangeSetting, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_note = taking_rows.doing.add_note

    def failing(*, words: str, **more: Any) -> Any:
        if words == "bad":
            raise RuntimeError
        return add_note(words=words, **more)

    monkeypatch.setattr(taking_rows.doing, "add_note", failing)
    file = take(root, setting, f"number,note\n{order.number},bad\n{order.number},good\n")

    assert outcomes(file) == [("refused", "failed"), ("taken", "")]


def test_a_stopped_file_keeps_what_was_taken_and_is_put_away(
    root: Path, setting: ExchangeSetting, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("plant.services.claiming.EVERY_S", 0)
    leave(root, setting, "number,note\n" + f"{order.number},x\n" * 3)
    look()
    keep = taking_rows.RowTaking.take

    def stopping(self: Any, row: Any) -> Any:
        looking.ask_stop(setting_id=setting.pk, now=timezone.now())
        return keep(self, row)

    monkeypatch.setattr(taking_rows.RowTaking, "take", stopping)
    look()

    file = StatusFile.objects.get()
    assert (file.state, file.rows.count(), file.rows_all) == (State.STOPPED, 1, 3)
    assert names(root, setting, "refused") == ["a.csv", "a.csv.report.csv"]


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


def test_without_the_tick_nobody_looks(root: Path, plant: Plant) -> None:
    setting = set_up(plant)
    leave(root, setting, "number,note\nLT-W-0001,x\n")

    assert look() == 0
    assert not PickUp.objects.exists()


def test_a_folder_that_cannot_be_opened_is_told(root: Path, setting: ExchangeSetting) -> None:
    (root / "LT").write_text("in the way")

    look()

    assert PickUp.objects.get().trouble
