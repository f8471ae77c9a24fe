"""Status files that are in each other's way: none is lost, none keeps the others for ever."""

from pathlib import Path
from typing import Any

import pytest

from plant.models import ExchangeSetting
from plant.services.exchange import folders
from tests.workorders.exchange.left_files import leave, look, outcomes, take
from tests.workorders.exchange_rows import folder, names
from workorders.models import OrderNote, PickUp, StatusFile, WorkOrder
from workorders.services.picking_up import looking, taking_rows

pytestmark = pytest.mark.django_db
State = StatusFile.State


def notes() -> list[str]:
    return list(OrderNote.objects.order_by("pk").values_list("words", flat=True))


def test_a_file_that_comes_under_the_name_of_one_being_taken_is_taken_next(
    root: Path, setting: ExchangeSetting, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = f"number,note\n{order.number},first\n"
    keep = taking_rows.RowTaking.take

    def overtaken(self: Any, row: Any) -> Any:
        leave(root, setting, f"number,note\n{order.number},the second\n")
        return keep(self, row)

    with monkeypatch.context() as patched:
        patched.setattr(taking_rows.RowTaking, "take", overtaken)
        take(root, setting, first)
    assert (folder(root, setting, "done") / "a.csv").read_text() == first
    assert names(root, setting, "in") == ["a.csv"]
    look()
    look()

    assert notes() == ["first", "the second"]
    assert names(root, setting, "in") == []
    assert [one.state for one in StatusFile.objects.all()] == [State.DONE] * 2


def test_a_file_that_may_not_be_read_keeps_no_other_waiting(
    root: Path, setting: ExchangeSetting, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = folders.read

    def refused(folder: int, found: folders.Found, most_bytes: int) -> bytes | None:
        if found.name == "a.csv":
            raise folders.FolderRefused("a.csv: Permission denied.")
        return read(folder, found, most_bytes)

    monkeypatch.setattr(folders, "read", refused)
    leave(root, setting, "number,note\nLT-W-0001,x\n")

    take(root, setting, f"number,note\n{order.number},beside\n", "b.csv")

    assert notes() == ["beside"]
    assert "a.csv" in PickUp.objects.get().trouble


def test_a_file_that_cannot_be_put_away_for_a_while_ends_as_what_it_was(
    root: Path, setting: ExchangeSetting, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_arguments: Any) -> int:
        raise folders.FolderRefused("a.csv: No space left on device.")

    with monkeypatch.context() as patched:
        patched.setattr(folders, "put", full)
        file = take(root, setting, f"number,note\n{order.number},once\n")
        for _ in range(5):
            look()
    look()

    file.refresh_from_db()
    assert (file.state, file.refusal) == (State.DONE, "")
    assert outcomes(file) == [("taken", "")]
    assert names(root, setting, "done") == ["a.csv", "a.csv.report.csv"]


def test_a_name_as_long_as_a_file_system_takes_is_put_away(
    root: Path, setting: ExchangeSetting, order: WorkOrder
) -> None:
    name = "ж" * 125 + ".csv"

    file = take(root, setting, f"number,note\n{order.number},once\n", name)

    assert file.state == State.DONE
    assert names(root, setting, "in") == []
    assert len(names(root, setting, "done")) == 2


def test_files_that_are_not_meant_take_nobodys_place(
    root: Path, setting: ExchangeSetting, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(looking, "MOST_FILES", 1)
    for number in range(20):
        leave(root, setting, "half", f".{number}.part")

    take(root, setting, f"number,note\n{order.number},once\n", "z.csv")

    assert notes() == ["once"]
