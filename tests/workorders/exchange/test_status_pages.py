"""Picked-up files on pages: counts, rows by what they became, the report."""

from datetime import timedelta
from http import HTTPStatus
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.config.celery import app
from plant.models import Plant
from plant.roles import Role
from tests.workorders.exchange.left_files import take
from tests.workorders.exchange_rows import folder, set_up
from tests.workorders.pages import client_of
from workorders.models import PickUp, StatusFile, WorkOrder
from workorders.services.picking_up import looking

pytestmark = pytest.mark.django_db


@pytest.fixture
def admin(plant: Plant) -> Client:
    return client_of(Role.ADMINISTRATOR, plant)


@pytest.fixture
def file(root: Path, plant: Plant, order: WorkOrder) -> StatusFile:
    setting = set_up(plant, picks_up=True)
    return take(root, setting, f"number,note\n{order.number},greased\nLT-W-9999,=1+1\n")


def text(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == HTTPStatus.OK
    return response.content.decode()


def test_a_system_shows_what_it_sent_and_what_became_of_it(
    admin: Client, file: StatusFile, order: WorkOrder
) -> None:
    assert file.name in text(admin, reverse("exchange", args=[file.setting_id]))
    page = text(admin, reverse("status-file", args=[file.pk]))
    assert order.number in page
    assert "This plant has no order LT-W-9999." in page
    refused = text(admin, reverse("status-file", args=[file.pk]) + "?outcome=refused")
    assert f">{order.number}<" not in refused
    assert "LT-W-9999" in refused


@pytest.mark.parametrize("broker", ["", "redis://127.0.0.1:1/0"])
def test_the_page_says_how_often_the_folder_is_looked_at(
    admin: Client, file: StatusFile, settings: Any, broker: str
) -> None:
    settings.BROKER_URL = broker

    page = text(admin, reverse("exchange", args=[file.setting_id]))

    assert "Looked for every 15 seconds" in page


def test_a_broker_wakes_the_look_as_often_as_it_is_due() -> None:
    sweep = app.conf.beat_schedule["sweep-what-is-owed"]

    assert sweep["schedule"] <= looking.EVERY.total_seconds()
    # One that no worker took up in time is dropped, else they would pile up behind long work.
    assert sweep["options"]["expires"] <= sweep["schedule"]


def test_a_sweep_that_comes_as_often_as_a_look_is_due_finds_it_due(
    root: Path, file: StatusFile
) -> None:
    # The look before ended a little after the sweep that began it.
    before = timezone.now() - looking.EVERY + timedelta(seconds=0.3)
    PickUp.objects.filter(setting=file.setting).update(looked_at=before)

    looking.look_owed()

    assert PickUp.objects.get(setting=file.setting).looked_at > before


def test_the_report_taken_away_is_the_one_beside_the_file(
    root: Path, admin: Client, file: StatusFile
) -> None:
    answer = admin.get(reverse("status-file-report", args=[file.pk]))

    beside = folder(root, file.setting, "done") / "a.csv.report.csv"
    assert answer.content == beside.read_bytes()
    assert "attachment" in answer["Content-Disposition"]


def test_a_system_that_sent_nothing_is_told_what_to_do(plant: Plant, admin: Client) -> None:
    setting = set_up(plant, picks_up=True)

    shown = text(admin, reverse("exchange", args=[setting.pk]))
    assert "leaves files in the folder <code>in</code>" in shown


def test_trouble_with_the_folder_is_shown(plant: Plant, admin: Client) -> None:
    setting = set_up(plant, picks_up=True)
    PickUp.objects.create(setting=setting, trouble="in: Permission denied.")

    assert "Permission denied" in text(admin, reverse("exchange", args=[setting.pk]))


def test_stopping_asks_only_where_something_is_taken(plant: Plant, admin: Client) -> None:
    setting = set_up(plant, picks_up=True)
    pick_up = PickUp.objects.create(setting=setting)
    address = reverse("exchange-status-stop", args=[setting.pk])
    admin.post(address)
    pick_up.refresh_from_db()
    assert pick_up.stop_asked_at is None

    StatusFile.objects.create(
        setting=setting, name="a.csv", digest="0", bytes=1, found_at=timezone.now()
    )
    admin.post(address)
    pick_up.refresh_from_db()
    assert pick_up.stop_asked_at is not None


def test_a_list_of_many_files_asks_the_same_of_the_database(
    plant: Plant, admin: Client, django_assert_max_num_queries: Any
) -> None:
    setting = set_up(plant, picks_up=True)
    address = reverse("exchange-status-files", args=[setting.pk])
    # What the first request of a process asks once is not counted.
    admin.get(address)
    counts = []
    for number in range(2):
        for more in range(1 + 9 * number):
            StatusFile.objects.create(
                setting=setting,
                name=f"{number}-{more}.csv",
                digest="0",
                bytes=1,
                found_at=timezone.now(),
            )
        with django_assert_max_num_queries(MOST_QUERIES) as asked:
            admin.get(address)
        counts.append(len(asked))
    assert counts[0] == counts[1]


MOST_QUERIES = 10
