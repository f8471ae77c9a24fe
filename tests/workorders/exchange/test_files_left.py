"""Files of a folder: which are taken, put away or left alone, whoever dies in between."""

import os
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from plant.models import ExchangeSetting, Plant
from tests.workorders.exchange.left_files import in_hand, leave, look, outcomes, take
from tests.workorders.exchange_rows import folder, names, set_up
from workorders.models import (
    OrderNote,
    PickUp,
    StatusFile,
    StatusRow,
    TimeBooking,
    WorkOrder,
)
from workorders.services.picking_up import looking, taking_files, taking_rows

pytestmark = pytest.mark.django_db
State = StatusFile.State


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


def test_without_the_tick_nobody_looks(root: Path, plant: Plant) -> None:
    setting = set_up(plant)
    leave(root, setting, "number,note\nLT-W-0001,x\n")

    assert look() == 0
    assert not PickUp.objects.exists()


def test_a_folder_that_cannot_be_opened_is_told(root: Path, setting: ExchangeSetting) -> None:
    (root / "LT").write_text("in the way")

    look()

    assert PickUp.objects.get().trouble
