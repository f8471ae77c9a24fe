"""Changes as files: whole ones only, in order, none left out."""

import csv
import io
import json
import os
from pathlib import Path

import pytest
from django.utils import timezone

from plant import acting, exchange_columns
from plant.models import ExchangeCursor, ExchangeFile, ExchangeRun, ExchangeSetting, Feed, Plant
from plant.services.exchange import asking, folders, keeping, running, writing
from tests.workorders import factories
from tests.workorders.exchange_rows import folder, names, run, set_up, wanted
from tests.workorders.feeds.following import told
from workorders.models import WorkOrder

pytestmark = pytest.mark.django_db
State = ExchangeRun.State


def change(order: WorkOrder, text: str) -> None:
    WorkOrder.objects.filter(pk=order.pk).update(external_number=text)


def lines(path: Path) -> list[dict]:
    return [json.loads(line) for line in path.read_text().splitlines()]


def external(path: Path) -> list[str]:
    return [one["record"]["external_number"] for one in lines(path)]


def test_a_file_holds_the_changes_just_as_the_feed_tells_them(
    root: Path, plant: Plant, order: WorkOrder
) -> None:
    _key, secret = factories.make_key(plant)
    setting = set_up(plant)
    before = len(told(secret))
    change(order, "10-4471")

    assert run(setting).state == State.DONE
    [name] = names(root, setting)
    [since] = told(secret)[before:]
    assert lines(folder(root, setting) / name) == [since]
    assert name == f"work-orders-{since['number']:012d}-{since['number']:012d}.jsonl"


def test_without_a_change_there_is_no_file_and_no_run_to_show(
    root: Path, plant: Plant, order: WorkOrder
) -> None:
    setting = set_up(plant)

    run(setting)

    assert names(root, setting) == []
    assert not ExchangeRun.objects.exists()
    setting.refresh_from_db()
    assert setting.looked_at is not None


def test_the_next_file_goes_on_after_the_last_one(
    root: Path, plant: Plant, order: WorkOrder
) -> None:
    setting = set_up(plant)
    for text in ("1", "2", "3"):
        change(order, text)
        run(setting)

    found = [external(folder(root, setting) / name) for name in names(root, setting)]
    # Changes of one transaction are one change, so each test's writes come as they stand last.
    assert [texts[-1] for texts in found] == ["1", "2", "3"]


def test_many_changes_make_several_files(
    root: Path, plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writing, "CHANGES_A_FILE", 2)
    setting = set_up(plant)
    made = [factories.make_order_by_hand(factories.make_conveyor(plant)) for _ in range(5)]

    run(setting)

    found = [lines(folder(root, setting) / name) for name in names(root, setting)]
    assert [len(one) for one in found] == [2, 2, 1]
    assert [one["key"] for some in found for one in some] == [one.number for one in made]
    assert list(ExchangeFile.objects.order_by("pk").values_list("rows", flat=True)) == [2, 2, 1]


def test_another_plants_changes_are_in_no_file(root: Path, plant: Plant) -> None:
    setting = set_up(plant)
    factories.make_order_by_hand()

    run(setting)

    assert names(root, setting) == []


def test_what_the_system_said_in_files_is_left_out_unless_wanted(
    root: Path, plant: Plant, order: WorkOrder
) -> None:
    sparing = set_up(plant)
    telling = set_up(plant, name="Archive", folder="archive", spares_own=False)
    with acting.by_files(sparing):
        change(order, "10-4471")
    run(sparing)
    run(telling)

    assert names(root, sparing) == []
    [name] = names(root, telling)
    [one] = lines(folder(root, telling) / name)
    assert (one["by"], one["who"]) == ("key", "Stores system")


def test_all_that_stands_comes_first_when_wanted(
    root: Path, plant: Plant, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writing, "ROWS_A_FILE", 2)
    others = [factories.make_order_by_hand(order.conveyor) for _ in range(2)]
    _key, secret = factories.make_key(plant)
    setting = set_up(plant, begins_with_all=True)

    run(setting)
    change(order, "10-4471")
    run(setting)

    *parts, later = names(root, setting)
    number = told(secret)[-2]["number"]
    assert parts == [
        f"work-orders-{number:012d}-snapshot-001-of-002.jsonl",
        f"work-orders-{number:012d}-snapshot-002-of-002.jsonl",
    ]
    standing = [one for name in parts for one in lines(folder(root, setting) / name)]
    assert [one["key"] for one in standing] == [order.number, *(one.number for one in others)]
    assert {one["kind"] for one in standing} == {"standing"}
    assert external(folder(root, setting) / later) == ["10-4471"]


def test_a_snapshot_of_nothing_is_a_file_without_rows(root: Path, plant: Plant) -> None:
    setting = set_up(plant, begins_with_all=True, format="csv")

    run(setting)

    [name] = names(root, setting)
    assert len((folder(root, setting) / name).read_text().splitlines()) == 1


def test_a_table_has_the_columns_that_were_promised(
    root: Path, plant: Plant, order: WorkOrder
) -> None:
    setting = set_up(plant, format="csv")
    WorkOrder.objects.filter(pk=order.pk).update(title="=1+1", external_number="-4", due_on=None)

    run(setting)

    [name] = names(root, setting)
    raw = (folder(root, setting) / name).read_bytes()
    assert not raw.startswith(b"\xef\xbb\xbf")
    assert raw.endswith(b"\r\n")
    header, row = csv.reader(io.StringIO(raw.decode(), newline=""))
    assert header[:8] == [
        f"change_{n}" for n in (["number", "at", "plant", "kind", "of", "key", "by", "who"])
    ]
    assert header[8:12] == ["number", "plant", "conveyor_tag", "conveyor_name"]
    cells = dict(zip(header, row, strict=True))
    # Other people's text begins no formula in anybody's spreadsheet.
    assert (cells["title"], cells["external_number"]) == ("'=1+1", "'-4")
    assert cells["conveyor_tag"] == "Q30"
    assert cells["due_on"] == ""


@pytest.mark.parametrize("feed", list(Feed))
def test_every_field_of_a_feed_has_a_column(feed: Feed) -> None:
    from django.utils.module_loading import import_string
    from rest_framework.serializers import Serializer

    from plant.models.feed_triggers import TOLD

    def ways(serializer: Serializer, before: str = "") -> list[str]:
        found = []
        for name, field in serializer.fields.items():
            is_row = isinstance(field, Serializer)
            found += ways(field, f"{before}{name}.") if is_row else [f"{before}{name}"]
        return found

    fields = {way for _model, told in TOLD[feed] for way in ways(import_string(told.serializer)())}
    assert fields
    assert set(exchange_columns.of(feed)) == fields


def test_changes_no_longer_kept_are_said_and_a_new_beginning_helps(
    root: Path, plant: Plant, order: WorkOrder
) -> None:
    setting = set_up(plant)
    change(order, "1")
    cursor = ExchangeCursor.objects.get(setting=setting)
    ExchangeCursor.objects.filter(pk=cursor.pk).update(number=cursor.number + 10**9)

    assert run(setting).state == State.LOST
    assert names(root, setting) == []
    # It says so again, and tries nothing.
    assert run(setting).state == State.LOST

    keeping.start_anew(setting_id=setting.pk, feed="work_orders", by=None, now=timezone.now())
    assert run(setting).state == State.DONE
    [name] = names(root, setting)
    assert "snapshot" in name
    assert external(folder(root, setting) / name) == ["1"]


@pytest.mark.parametrize("place", ["LT", "LT/stores", "LT/stores/out"])
def test_no_link_is_followed_out_of_the_root(
    root: Path, plant: Plant, order: WorkOrder, tmp_path_factory: pytest.TempPathFactory, place: str
) -> None:
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    setting = set_up(plant)
    link = root / place
    link.parent.mkdir(parents=True, exist_ok=True)
    link.symlink_to(elsewhere, target_is_directory=True)
    change(order, "1")

    ended = run(setting)

    assert (ended.state, ended.refusal) == (State.FAILED, "folder_refused")
    assert list(elsewhere.iterdir()) == []


def test_a_link_with_the_name_of_a_file_is_replaced_not_followed(
    root: Path, plant: Plant, order: WorkOrder
) -> None:
    setting = set_up(plant)
    change(order, "1")
    run(setting)
    [name] = names(root, setting)
    theirs = root / "theirs"
    theirs.write_text("keep")
    _take_back(setting)
    where = folder(root, setting) / name
    where.unlink()
    where.symlink_to(theirs)

    run(setting)

    assert theirs.read_text() == "keep"
    assert external(where) == ["1"]


def _take_back(setting: ExchangeSetting) -> None:
    """As it stands when a worker dies after the file had its name."""
    file = ExchangeFile.objects.get(setting=setting)
    ExchangeFile.objects.update(written_at=None)
    ExchangeCursor.objects.update(number=file.after_number, at=file.after_at)


def test_a_full_disk_leaves_no_half_file_and_the_next_run_writes_it(
    root: Path, plant: Plant, order: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    setting = set_up(plant)
    change(order, "1")

    def full(_file: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        ended = run(setting)
    assert (ended.state, ended.refusal) == (State.FAILED, "folder_refused")
    assert "No space left" in ended.detail
    assert names(root, setting) == []

    assert run(setting).state == State.DONE
    assert len(names(root, setting)) == 1


def test_a_stop_leaves_whole_files_and_the_next_run_goes_on(
    root: Path, plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writing, "CHANGES_A_FILE", 1)
    monkeypatch.setattr("plant.services.claiming.EVERY_S", 0)
    setting = set_up(plant)
    for _ in range(3):
        factories.make_order_by_hand(factories.make_conveyor(plant))
    put = folders.put

    def stopping(*arguments):
        asking.ask_stop(run_id=ExchangeRun.objects.get().pk, now=timezone.now())
        return put(*arguments)

    with monkeypatch.context() as patched:
        patched.setattr(folders, "put", stopping)
        assert run(setting).state == State.STOPPED
    first = names(root, setting)
    assert len(first) == 1

    assert run(setting).state == State.DONE
    assert len(names(root, setting)) == 3
    assert names(root, setting)[:1] == first


def test_two_workers_do_not_write_the_same_run(root: Path, plant: Plant) -> None:
    setting = set_up(plant)
    asked = asking.ask(setting_id=setting.pk, by=None, now=timezone.now())
    assert running._claimed() == asked

    assert running.do_owed() == 0


def test_runs_are_owed_when_they_are_due_and_once(root: Path, plant: Plant) -> None:
    setting = set_up(plant)
    off = set_up(plant, name="Archive", folder="archive", is_on=False)

    assert asking.owe_due() == 1
    assert asking.owe_due() == 0
    assert ExchangeRun.objects.get().setting == setting
    off.refresh_from_db()
    assert off.next_at is None


def test_without_a_root_nothing_is_owed_and_asking_is_refused(plant: Plant) -> None:
    setting = set_up(plant)

    assert asking.owe_due() == 0
    with pytest.raises(folders.FilesAreOff):
        asking.ask(setting_id=setting.pk, by=None, now=timezone.now())


@pytest.mark.parametrize("name", ["..", ".", "a/b", "A", "", "a" * 41, "-a", "a\x00", "ä", "a\n"])
def test_a_folder_is_one_plain_name(plant: Plant, name: str) -> None:
    with pytest.raises(keeping.ExchangeRefused) as refused:
        set_up(plant, folder=name)
    assert refused.value.field == "folder"


def test_two_systems_of_a_plant_have_two_folders(plant: Plant) -> None:
    set_up(plant)

    with pytest.raises(keeping.ExchangeRefused, match="has this folder"):
        set_up(plant, name="Archive")
    set_up(factories.make_plant())


def test_what_it_is_newly_told_of_begins_with_all_that_stands(
    root: Path, plant: Plant, order: WorkOrder
) -> None:
    setting = set_up(plant)
    keeping.change(
        setting_id=setting.pk,
        wanted=wanted(feeds=["work_orders", "cases"]),
        version=setting.version,
        by=None,
        now=timezone.now(),
    )

    run(setting)

    [name] = names(root, setting)
    assert name.startswith("cases-")
    assert "-snapshot-" in name


def test_a_sign_of_life_says_how_far_each_feed_was_written(
    root: Path, plant: Plant, order: WorkOrder
) -> None:
    setting = set_up(plant, writes_sign_of_life=True)
    run(setting)

    told_alive = json.loads((folder(root, setting) / "sign-of-life.json").read_text())

    cursor = ExchangeCursor.objects.get()
    assert told_alive["written_up_to"] == {"work-orders": cursor.number}
    assert told_alive["system"] == "Stores system"
