"""Orders and the plan as files, read back as a spreadsheet reads them."""

import csv
import html
import io
import re
from datetime import date, datetime, timedelta
from decimal import Decimal
from http import HTTPStatus
from typing import Any

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders.pages import client_of
from tests.workorders.sheet_rows import make_approved, make_crew, make_placed, make_window
from workorders.models import WorkOrder
from workorders.selectors import order_tables

pytestmark = pytest.mark.django_db


def csv_rows(client: Client, name: str, **asked: str) -> list[dict[str, str]]:
    answer = client.get(reverse(name), asked)
    assert answer.status_code == HTTPStatus.OK, answer.content
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert "no-store" in answer["Cache-Control"]
    text = answer.content.decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def workbook_rows(client: Client, name: str, **asked: str) -> list[dict[str, Any]]:
    answer = client.get(reverse(name), asked)
    assert answer.status_code == HTTPStatus.OK, answer.content
    (page,) = openpyxl.load_workbook(io.BytesIO(answer.content)).worksheets
    # What computes is "f", what failed to compute "e".
    assert {cell.data_type for row in page.iter_rows() for cell in row}.isdisjoint({"f", "e"})
    header, *rows = page.iter_rows(values_only=True)
    return [dict(zip(header, row, strict=True)) for row in rows]


def local(clock: str) -> datetime:
    """As a workbook holds it: without a zone."""
    return datetime.fromisoformat(clock)


@pytest.fixture
def placed(plant: Plant) -> WorkOrder:
    order = make_placed(make_complete_conveyor(plant, tag="Q30", area="Quay"))
    WorkOrder.objects.filter(pk=order.pk).update(
        hours=Decimal("2.50"), people=2, due_on=date(2026, 11, 9), waiting_for=""
    )
    return order


def test_the_list_of_orders_holds_what_the_page_shows_in_plain_words(planner, placed):
    (row,) = csv_rows(planner, "orders-csv")

    assert row["Order"] == placed.number
    assert row["What"] == "Square idlers"
    assert (row["Conveyor"], row["Area"], row["State"]) == ("Q30", "Quay", "scheduled")
    # 14:30 UTC is 10:30 in Halifax, where the plant is.
    assert row["Planned from"] == "2026-11-03 10:30:00"
    assert row["Time zone of the times"] == "America/Halifax"
    assert (row["Due"], row["Hours"], row["Needs isolation"]) == ("2026-11-09", "2.50", "yes")
    assert (row["Window"], row["Crew"]) == ("Quay maintenance day", "Day crew")


def test_a_workbook_holds_days_and_figures_as_such(planner, placed):
    (row,) = workbook_rows(planner, "orders-xlsx")

    assert row["Planned from"] == local("2026-11-03 10:30")
    assert row["Planned until"] == local("2026-11-03 12:30")
    assert row["Due"].date() == date(2026, 11, 9)
    assert (row["Hours"], row["People at a time"]) == (2.5, 2)
    assert row["Case"] is None


@pytest.mark.parametrize("begins", ["=", "+", "-", "@", "\t=", "＝"])
def test_no_text_becomes_a_formula(planner, placed, begins):
    words = begins + "HYPERLINK(1)"
    WorkOrder.objects.filter(pk=placed.pk).update(
        title=words, component=words[:48], external_number=words
    )

    (told,) = csv_rows(planner, "orders-csv")
    (kept,) = workbook_rows(planner, "orders-xlsx")

    for row in (told, kept):
        for column in ("What", "At", "Number in the other system"):
            assert row[column] == f"'{words}"


def test_signs_no_spreadsheet_holds_break_nothing(planner, placed):
    WorkOrder.objects.filter(pk=placed.pk).update(title='a\x01\x0b,"b"\r\n;c 帯🦺')

    (told,) = csv_rows(planner, "orders-csv")
    (kept,) = workbook_rows(planner, "orders-xlsx")

    assert told["What"] == 'a,"b"\r\n;c 帯🦺'
    # XML knows one kind of line end.
    assert kept["What"] == 'a,"b"\n;c 帯🦺'


def test_the_filters_of_the_page_count_for_the_file(planner, placed, plant):
    other = make_approved(make_complete_conveyor(plant, tag="Y1"), "Lag the pulley")

    def numbers(**asked: str) -> set[str]:
        return {row["Order"] for row in csv_rows(planner, "orders-csv", **asked)}

    assert numbers() == {placed.number, other.number}
    assert numbers(state="approved") == {other.number}
    assert numbers(conveyor="q30") == {placed.number}
    assert numbers(state="declined") == set()
    page = planner.get(reverse("work"), {"state": "approved", "page": "1"}).text
    assert f'href="{reverse("orders-csv")}?state=approved"' in page


def test_the_plan_says_window_crew_job_and_times(planner, placed, plant):
    make_approved(placed.conveyor, "Not placed yet")
    asked = {"first": "2026-11-03", "last": "2026-11-03"}

    (row,) = workbook_rows(planner, "plan-xlsx", **asked)

    assert (row["Window"], row["Crew"], row["Order"]) == (
        "Quay maintenance day",
        "Day crew",
        placed.number,
    )
    assert row["Window from"] == local("2026-11-03 10:30")
    assert row["Window until"] == local("2026-11-03 18:30")
    assert row["Window called off"] == "no"
    assert row["Planned until"] - row["Planned from"] == timedelta(hours=2)
    assert csv_rows(planner, "plan-csv", **asked)[0]["Order"] == placed.number


@pytest.mark.parametrize(
    ("utc", "is_told"),
    # Midnight in Halifax is 03:00 UTC in summer time, 04:00 after.
    [("2026-10-20 02:59", False), ("2026-10-20 03:00", True), ("2026-10-21 02:59", True)],
)
def test_days_are_those_of_the_plant(planner, placed, utc, is_told):
    moment = datetime.fromisoformat(f"{utc}+00:00")
    WorkOrder.objects.filter(pk=placed.pk).update(planned_for=moment, planned_until=None)

    rows = csv_rows(planner, "plan-csv", first="2026-10-20", last="2026-10-20")

    assert len(rows) == is_told


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"first": "2026-11-09", "last": "2026-11-03"}, "last"),
        ({"first": "2026-11-09", "last": "2028-11-03"}, "last"),
        ({"first": "soon"}, "first"),
        ({"last": "0001-01-01"}, "last"),
        ({"first": "9999-12-31"}, "first"),
        ({"first": "\x00"}, "first"),
    ],
)
def test_days_that_cannot_be_are_refused_by_field(planner, asked, field):
    for name in ("plan-csv", "plan-xlsx"):
        answer = planner.get(reverse(name), asked)

        assert answer.status_code == HTTPStatus.BAD_REQUEST
        assert field in answer.context["plan_form"].errors


def test_without_days_the_coming_four_weeks_are_told(planner, placed):
    assert csv_rows(planner, "plan-csv") == []


def test_no_more_rows_than_stated_are_handed_out(planner, placed, monkeypatch):
    make_approved(placed.conveyor)
    monkeypatch.setattr(order_tables, "MOST_ROWS", 1)

    answer = planner.get(reverse("orders-csv"))

    assert answer.status_code == HTTPStatus.CONFLICT
    assert "at most 1 orders" in answer.text


def test_other_plants_orders_are_in_no_file(placed):
    elsewhere = client_of(Role.PLANNER, make_plant())

    assert csv_rows(elsewhere, "orders-csv", state="all") == []
    assert csv_rows(elsewhere, "plan-csv", first="2026-11-01", last="2026-11-30") == []
    nowhere = client_of(Role.PLANNER)
    assert csv_rows(nowhere, "orders-csv") == []
    assert csv_rows(nowhere, "plan-csv", first="2026-11-01", last="2026-11-30") == []


def test_many_orders_take_no_more_queries(placed, plant, django_assert_num_queries):
    orders = WorkOrder.objects.order_by("pk")
    crew, window = make_crew(plant, "Night crew"), make_window(placed.conveyor)
    for _number in range(3):
        order = make_approved(placed.conveyor)
        WorkOrder.objects.filter(pk=order.pk).update(
            crew=crew, window=window, planned_for=window.starts_at
        )

    with django_assert_num_queries(1):
        assert len(list(order_tables.order_rows(orders))) == 4
    with django_assert_num_queries(1):
        assert len(list(order_tables.plan_rows(orders))) == 4


def test_the_outage_sheet_leads_to_its_stretch_and_to_the_packs(planner, placed, plant):
    page = planner.get(reverse("outage-sheet"), {"first": "2026-11-02", "plant": plant.code}).text

    (found,) = re.findall(rf'href="({reverse("plan-xlsx")}\?[^"]+)"', page)
    answer = planner.get(html.unescape(found))
    assert answer["Content-Disposition"].startswith('attachment; filename="plan-2026-11-02-')
    pack = reverse("paper-window-pack", args=[placed.window_id])
    assert f'href="{pack}"' in page
