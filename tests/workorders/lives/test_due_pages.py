"""The due list's pages: by month, narrowed, as files, and the way from rows to orders."""

import csv
import io
from datetime import timedelta
from http import HTTPStatus
from typing import Any

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders.lives_rows import reckon, wear_down
from tests.workorders.pages import client_of
from workorders.models import DueItem, WorkOrder

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return make_complete_conveyor(plant, tag="Q30")


@pytest.fixture
def items(conveyor: Conveyor) -> list[DueItem]:
    now = timezone.now()
    wear_down(conveyor, "Head pulley", [6.0, 5.0], now=now)
    wear_down(conveyor, "Tail pulley", [4.4, 3.9], now=now)
    return reckon(conveyor, now=now)


def text_of(response: Any) -> str:
    return " ".join(response.content.decode().replace("\N{NO-BREAK SPACE}", " ").split())


def test_the_list_says_where_when_and_why(planner: Client, items: list[DueItem]):
    text = text_of(planner.get(reverse("due")))

    assert "limit met: now" in text
    assert "lagging thickness, middle: 3.9 mm, the limit is 4 mm" in text
    assert f"{items[1].due_on:%Y-%m-%d}" in text
    assert "line through 2 readings" in text


def test_the_list_is_narrowed_by_month_belt_and_kind(planner: Client, items: list[DueItem]):
    later = items[1].due_on
    in_month = text_of(planner.get(reverse("due"), {"month": f"{later:%Y-%m}"}))

    assert f"{later:%Y-%m-%d}" in in_month
    assert "limit met: now" not in in_month
    assert "Head pulley" in text_of(planner.get(reverse("due"), {"conveyor": "q30"}))
    nothing = text_of(planner.get(reverse("due"), {"what": "blade"}))
    assert "Nothing is due that fits these filters" in nothing
    assert planner.get(reverse("due"), {"month": "soon", "conveyor": "\x00"}).status_code == 200


def test_a_list_that_is_behind_says_so_and_is_worked_out_on_the_press(
    planner: Client, conveyor: Conveyor
):
    wear_down(conveyor, "Tail pulley", [4.4, 3.9], now=timezone.now())
    assert "1 conveyor has changed" in text_of(planner.get(reverse("due")))

    planner.post(reverse("due-reckon"))

    text = text_of(planner.get(reverse("due")))
    assert "has changed" not in text
    assert "Tail pulley" in text


def test_rows_become_orders_after_a_look_and_are_taken_back(planner: Client, items: list[DueItem]):
    chosen = [one.pk for one in items]
    preview = text_of(planner.get(reverse("due-raise"), {"item": chosen}))
    assert "Nothing is raised yet" in preview
    assert not WorkOrder.objects.exists()

    sent = {"item": chosen, "bundled": "month"}
    page = planner.post(reverse("due-raise"), sent, follow=True)

    assert "2 orders raised" in text_of(page)
    assert WorkOrder.objects.count() == 2
    listed = text_of(planner.get(reverse("due")))
    assert all(one.number in listed for one in WorkOrder.objects.all())
    again = planner.post(reverse("due-raise"), sent)
    assert again.status_code == HTTPStatus.CONFLICT
    address = page.redirect_chain[-1][0]
    planner.post(f"{address}take-back/")
    assert set(WorkOrder.objects.values_list("state", flat=True)) == {"declined"}


def test_the_order_says_what_of_the_list_it_is_for(planner: Client, items: list[DueItem]):
    planner.post(reverse("due-raise"), {"item": [items[0].pk], "bundled": "each"})
    order = WorkOrder.objects.get()

    text = text_of(planner.get(reverse("order", args=[order.number])))

    assert "From the due list" in text
    assert reverse("wear-spot", args=["LT", "Q30", items[0].reading_id]) in text
    assert "write down there what was renewed" in text


def test_all_of_a_belts_month_are_taken_at_once(
    planner: Client, plant: Plant, items: list[DueItem]
):
    # The plant's month: in the first hours of one it may be another than that of UTC.
    today = timezone.localdate(timezone=plant.zone_info)
    asked = {"all": "1", "conveyor": "Q30", "month": f"{today:%Y-%m}"}

    preview = planner.get(reverse("due-raise"), asked)

    assert [one.item.pk for one in preview.context["rows"]] == [items[0].pk]


def test_a_bundling_nobody_offered_and_rows_that_went_are_refused(
    planner: Client, items: list[DueItem]
):
    sent = {"item": [items[0].pk], "bundled": "all"}
    assert planner.post(reverse("due-raise"), sent).status_code == HTTPStatus.BAD_REQUEST
    gone = {"item": ["999999", "x", "-1"], "bundled": "each"}
    assert planner.post(reverse("due-raise"), gone).status_code == HTTPStatus.CONFLICT
    assert not WorkOrder.objects.exists()


def test_another_plants_rows_are_neither_shown_nor_raised(plant: Plant, items: list[DueItem]):
    other = client_of(Role.PLANNER, make_plant())

    assert "Head pulley" not in text_of(other.get(reverse("due")))
    sent = {"item": [one.pk for one in items], "bundled": "each"}
    assert other.post(reverse("due-raise"), sent).status_code == HTTPStatus.CONFLICT
    assert not WorkOrder.objects.exists()


def test_a_technician_reads_the_list_and_raises_nothing(technician: Client, items: list[DueItem]):
    assert "Head pulley" in text_of(technician.get(reverse("due")))
    assert technician.get(reverse("due-raise")).status_code == HTTPStatus.FORBIDDEN


def test_the_files_hold_the_rows_and_no_formula(
    planner: Client, conveyor: Conveyor, items: list[DueItem]
):
    conveyor.components.filter(name="Head pulley").update(name="=1+1")
    reckon(conveyor, now=timezone.now())

    text = planner.get(reverse("due-csv")).content.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert {one["where"] for one in rows} == {"Tail pulley", "'=1+1"}
    assert rows[0]["conveyor"] == "Q30"
    book = openpyxl.load_workbook(io.BytesIO(planner.get(reverse("due-xlsx")).content))
    cells = [cell for row in book.active.iter_rows() for cell in row]
    assert "'=1+1" in {cell.value for cell in cells}
    assert "f" not in {cell.data_type for cell in cells}


def test_queries_do_not_grow_with_the_rows(
    planner: Client, conveyor: Conveyor, items: list[DueItem], django_assert_max_num_queries
):
    now = timezone.now()
    planner.get(reverse("due"))
    with django_assert_max_num_queries(30) as few:
        planner.get(reverse("due"))
    for number in range(1, 20):
        DueItem.objects.create(
            conveyor=conveyor,
            key=f"w:x:{number}:lagging",
            what="lagging",
            reason="limit_met",
            where="Drive",
            count=1,
            due_on=(now + timedelta(days=number)).date(),
            why=items[0].why,
        )

    with django_assert_max_num_queries(len(few)):
        planner.get(reverse("due"))
