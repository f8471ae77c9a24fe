"""Files going out in the words of a connected system."""

import csv
import json
from pathlib import Path

import pytest
from django.utils import timezone

from plant.models import ConnectedSystem, ExchangeRun, Plant, WordingEntry
from tests.workorders.exchange.test_writing import change
from tests.workorders.exchange_rows import folder, names, run, set_up
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


@pytest.fixture
def system(plant: Plant) -> ConnectedSystem:
    system = ConnectedSystem.objects.create(
        plant=plant, name="Stores", is_on=True, made_at=timezone.now()
    )
    say(system, "order_state", "proposed", "10-NEW")
    say(system, "renamed:work_order", "external_number", "JobNo")
    say(system, "constant:work_order", "site", "A7")
    return system


def say(system: ConnectedSystem, part: str, key: str, value: str) -> None:
    WordingEntry.objects.create(system=system, part=part, key=key, value=value)


def test_lines_hold_the_systems_words_names_and_fields(
    root: Path, plant: Plant, order: WorkOrder, system: ConnectedSystem
) -> None:
    setting = set_up(plant, system=system)
    change(order, "10-4471")
    run(setting)

    [name] = names(root, setting)
    told = json.loads((folder(root, setting) / name).read_text())
    record = told["record"]
    assert (record["state"], record["JobNo"], record["site"]) == ("10-NEW", "10-4471", "A7")
    assert "external_number" not in record


def test_columns_keep_their_places_and_further_fields_come_last(
    root: Path, plant: Plant, order: WorkOrder, system: ConnectedSystem
) -> None:
    plain = set_up(plant, name="Plain", folder="plain", format="csv")
    worded = set_up(plant, system=system, format="csv", begins_with_all=True)
    change(order, "10-4471")
    run(plain)
    run(worded)

    headers, rows = [], []
    for setting in (plain, worded):
        content = (folder(root, setting) / names(root, setting)[0]).read_text()
        header, row = csv.reader(content.splitlines())
        headers.append(header)
        rows.append(dict(zip(header, row, strict=True)))
    place = headers[0].index("external_number")
    assert headers[1] == [*headers[0][:place], "JobNo", *headers[0][place + 1 :], "site"]
    assert (rows[1]["JobNo"], rows[1]["state"], rows[1]["site"]) == ("10-4471", "10-NEW", "A7")


def test_a_word_that_is_missing_goes_out_as_ours_and_is_told(
    root: Path, plant: Plant, order: WorkOrder, system: ConnectedSystem
) -> None:
    setting = set_up(plant, system=system)
    WorkOrder.objects.filter(pk=order.pk).update(state=OrderState.APPROVED)

    run(setting)

    [name] = names(root, setting)
    assert '"state":"approved"' in (folder(root, setting) / name).read_text()
    gap = system.gaps.get()
    assert (gap.way, gap.part, gap.word) == ("out", "order_state", "approved")


def test_where_nothing_goes_without_a_word_files_wait_for_it(
    root: Path, plant: Plant, order: WorkOrder, system: ConnectedSystem
) -> None:
    ConnectedSystem.objects.filter(pk=system.pk).update(is_strict=True)
    # Of each vocabulary it has begun; others are spoken in our words by both.
    setting = set_up(plant, system=system)
    WorkOrder.objects.filter(pk=order.pk).update(state=OrderState.APPROVED)

    ended = run(setting)
    assert (ended.state, ended.refusal) == (ExchangeRun.State.FAILED, "word_missing")
    assert "approved" in ended.detail
    assert names(root, setting) == []

    say(system, "order_state", "approved", "20-RELEASED")
    assert run(setting).state == ExchangeRun.State.DONE
    [name] = names(root, setting)
    assert "20-RELEASED" in (folder(root, setting) / name).read_text()
