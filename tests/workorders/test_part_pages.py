"""The pages of the parts catalogue."""

import csv
import io
from datetime import date, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Plant
from tests.workorders.factories import make_conveyor, make_order_by_hand
from tests.workorders.pages import address
from tests.workorders.part_rows import expect, make_part, need
from workorders.models import Part, PartUse, WorkOrder

pytestmark = pytest.mark.django_db


def text_of(client: Client, name: str, *args: object, **query: str) -> str:
    return client.get(reverse(name, args=args), query).content.decode()


def typed(**fields: str) -> dict[str, str]:
    empty = {"known_as": "", "kept_at": "", "note": ""}
    return {"number": "R-9", "name": "roll", "kind": "roll", "unit": "pcs", **empty, **fields}


def today() -> date:
    return timezone.localdate(timezone=ZoneInfo("America/Halifax"))


def test_a_planner_adds_a_part_and_reads_what_there_is(planner: Client, plant: Plant):
    posted = {**typed(known_as="159 mm, carrying roll"), "plant": plant.pk, "on_hand": "7"}

    response = planner.post(reverse("part-new"), posted)

    part = Part.objects.get()
    assert response["Location"] == reverse("part", args=[part.pk])
    assert (part.on_hand, part.known_as) == (7, ["159 mm", "carrying roll"])
    assert "7\N{NO-BREAK SPACE}pcs" in text_of(planner, "part", part.pk)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"on_hand": "2.5"}, "counted in whole pcs"),
        ({"on_hand": "-1"}, "greater than or equal to 0"),
        ({"on_hand": "99999999"}, "less than or equal to 1000000"),
        ({"number": ""}, "This field is required"),
        ({"number": "r-1"}, "Another part of this plant has this number"),
        ({"kind": "spaceship"}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_a_part_is_said_beside_the_field_and_kept(
    planner: Client, plant: Plant, fields: dict[str, str], said: str
):
    make_part(plant, number="R-1")

    response = planner.post(
        reverse("part-new"),
        {**typed(note="beside the door"), "plant": plant.pk, "on_hand": "0", **fields},
    )

    assert response.status_code in {400, 409}
    page = response.content.decode()
    assert said in page
    assert "beside the door" in page
    assert Part.objects.count() == 1


def test_the_list_says_what_is_free_due_and_short(planner: Client, order: WorkOrder):
    plant = order.conveyor.plant
    roll = make_part(plant, "10", number="R-159")
    need(order, roll, "14")
    expect(roll, "3", due_on=today() + timedelta(days=5))
    make_part(plant, "2", number="B-7", name="blade")

    page = text_of(planner, "parts")

    assert "short by 1\N{NO-BREAK SPACE}pc" in page
    assert (today() + timedelta(days=5)).isoformat() in page
    short = text_of(planner, "parts", supply="short")
    assert "R-159" in short
    assert "B-7" not in short


def test_filters_find_by_number_name_and_other_names(planner: Client, plant: Plant):
    make_part(plant, number="R-159", name="carrying roll", known_as=["159 mm 6306"])
    make_part(plant, number="L-12", name="lagging", kind="lagging")
    make_part(plant, number="OLD-1", retired_on=today())

    for words in ("r-159", "Carrying", "6306", "roll 159"):
        found = text_of(planner, "parts", words=words)
        assert "R-159" in found, words
        assert "L-12" not in found, words
    assert "R-159" not in text_of(planner, "parts", kind="lagging")
    assert "OLD-1" not in text_of(planner, "parts")
    assert "OLD-1" in text_of(planner, "parts", retired="on")
    assert "No part fits these filters" in text_of(planner, "parts", words="crane")


def test_deliveries_that_should_have_come_are_found(planner: Client, plant: Plant):
    late, coming = make_part(plant, number="LATE-1"), make_part(plant, number="SOON-1")
    expect(late, "3", due_on=today() - timedelta(days=1))
    expect(coming, "3", due_on=today())

    page = text_of(planner, "parts", supply="late")

    assert "LATE-1" in page
    assert "SOON-1" not in page
    assert "orders count on it no more" in text_of(planner, "part", late.pk)


def test_however_long_the_list_the_queries_stay_the_same(
    planner: Client, order: WorkOrder, django_assert_num_queries, django_assert_max_num_queries
):
    plant = order.conveyor.plant
    need(order, make_part(plant, "1"), "3")
    text_of(planner, "parts")
    with django_assert_max_num_queries(20) as one:
        text_of(planner, "parts")
    for _part in range(5):
        part = make_part(plant, "1")
        need(order, part, "3")
        expect(part, "1")

    with django_assert_num_queries(len(one)):
        text_of(planner, "parts")


def test_a_count_is_told_in_the_log_with_who_and_why(technician: Client, plant: Plant):
    part = make_part(plant, "9")

    technician.post(
        reverse("part-count", args=[part.pk]),
        {"on_hand": "7", "why": "two were bent", "version": part.version},
    )

    page = text_of(technician, "part", part.pk)
    assert "two were bent" in page
    assert "technician" in page.casefold()
    assert "-2\N{NO-BREAK SPACE}pcs" in page


def test_a_count_on_an_old_page_shows_what_stands_now(technician: Client, plant: Plant):
    part = make_part(plant, "9")
    technician.post(
        reverse("part-count", args=[part.pk]), {"on_hand": "8", "version": part.version}
    )

    response = technician.post(
        reverse("part-count", args=[part.pk]), {"on_hand": "9", "version": part.version}
    )

    assert response.status_code == 409
    assert "Somebody changed this while you had it open" in response.content.decode()
    part.refresh_from_db()
    assert part.on_hand == 8


def test_a_delivery_is_noted_comes_in_part_and_is_taken_back(planner: Client, plant: Plant):
    part = make_part(plant)
    day = (today() + timedelta(days=3)).isoformat()
    planner.post(
        reverse("part-due-new", args=[part.pk]), {"amount": "6", "due_on": day, "note": "pallet"}
    )
    due = part.dues.get()
    planner.post(reverse("part-due-came", args=[due.pk]), {"amount": "4", "version": due.version})
    part.refresh_from_db()
    assert part.on_hand == 4
    assert "2\N{NO-BREAK SPACE}pcs" in text_of(planner, "part", part.pk)

    planner.post(reverse("part-due-not-come", args=[due.pk]))

    part.refresh_from_db()
    assert part.on_hand == 0
    assert sorted(one.amount for one in part.dues.waiting()) == [2, 4]


def test_a_delivery_is_called_off_and_due_after_all(planner: Client, plant: Plant):
    part = make_part(plant)
    due = expect(part, "6")

    planner.post(reverse("part-due-call-off", args=[due.pk]))
    assert "called off" in text_of(planner, "part", part.pk)
    planner.post(reverse("part-due-after-all", args=[due.pk]))

    assert part.dues.waiting().get() == due


def test_a_wanted_part_does_not_retire_and_a_retired_one_comes_back(
    planner: Client, order: WorkOrder
):
    part = make_part(order.conveyor.plant)
    line = need(order, part, "2")
    retire = reverse("part-retire", args=[part.pk])
    assert order.number in planner.get(retire).content.decode()

    refused = planner.post(retire)

    assert refused.status_code == 409
    assert "Take it off them first" in refused.content.decode()
    line.delete()
    planner.post(retire)
    assert "retired" in text_of(planner, "part", part.pk)
    planner.post(reverse("part-bring-back", args=[part.pk]))
    assert Part.objects.get(pk=part.pk).retired_on is None


def test_technicians_count_but_do_not_keep_the_catalogue(technician: Client, plant: Plant):
    part = make_part(plant)

    assert technician.get(reverse("part-count", args=[part.pk])).status_code == 200
    for name, args in (("part-new", []), ("part-edit", [part.pk]), ("part-retire", [part.pk])):
        assert technician.get(reverse(name, args=args)).status_code == 403, name
    assert reverse("part-edit", args=[part.pk]) not in text_of(technician, "part", part.pk)


def test_a_place_is_said_and_the_register_answers(planner: Client, order: WorkOrder):
    part = make_part(order.conveyor.plant, number="R-159")
    said = {
        "on": "troughing_idlers",
        "by": "roll",
        "each": "1",
        "belt_width_mm": "1000",
        "belt_strength_n_mm": "",
        "diameter_mm": "",
        "conveyor": "",
        "name": "",
    }

    response = planner.post(reverse("part-use-new", args=[part.pk]), said)

    assert response.status_code == 302
    component = order.conveyor.components.get(name="C")
    page = text_of(planner, "part", part.pk)
    assert f"{component.count} sets × 3 rolls" in page
    assert f"{component.count * 3}\N{NO-BREAK SPACE}pcs" in page
    again = planner.post(reverse("part-use-new", args=[part.pk]), said)
    assert again.status_code == 409
    assert "said already" in again.content.decode()
    planner.post(reverse("part-use-remove", args=[PartUse.objects.get().pk]))
    assert not PartUse.objects.exists()


def test_the_file_holds_what_the_list_shows_and_begins_no_formula(
    planner: Client, order: WorkOrder
):
    plant = order.conveyor.plant
    belt = make_part(plant, "12.5", number="=cmd|'/c calc'!A1", name="@belt", unit="m", kind="belt")
    need(order, belt, "2.5")
    make_part(plant, "3", number="R-1")

    text = planner.get(reverse("parts-csv"), {"kind": "belt"}).content.decode("utf-8-sig")
    book = openpyxl.load_workbook(
        io.BytesIO(planner.get(reverse("parts-xlsx"), {"kind": "belt"}).content)
    )

    header, row = csv.reader(io.StringIO(text))
    as_said = dict(zip(header, row, strict=True))
    assert as_said["Part number"].startswith("'=")
    assert as_said["Name"] == "'@belt"
    assert (as_said["On hand"], as_said["Reserved"], as_said["Free"]) == ("12.5", "2.5", "10")
    in_book = dict(zip(header, [cell.value for cell in book["Parts"][2]], strict=True))
    assert in_book["Part number"].startswith("'=")
    assert Decimal(str(in_book["Free"])) == 10


def test_parts_of_another_plant_are_not_on_the_list(planner: Client):
    make_part(make_conveyor().plant, number="ELSEWHERE-1")

    assert "ELSEWHERE-1" not in text_of(planner, "parts")
    assert "ELSEWHERE-1" not in text_of(planner, "parts-csv")


def test_an_empty_catalogue_says_what_to_do_first(planner: Client):
    assert "Add the rolls" in text_of(planner, "parts")


def test_what_cannot_be_an_address_s_filter_narrows_nothing(planner: Client, plant: Plant):
    make_part(plant, number="R-1")

    for query in ({"kind": "x" * 300}, {"words": "\x00"}, {"supply": "?"}, {"page": "-9"}):
        assert "R-1" in text_of(planner, "parts", **query), query


def test_the_order_list_says_which_order_is_short_and_which_waits(
    planner: Client, order: WorkOrder
):
    plant = order.conveyor.plant
    other = make_order_by_hand(order.conveyor)
    need(order, make_part(plant, number="R-159"), "2")
    roll = make_part(plant, number="R-133")
    need(other, roll, "2")
    expect(roll, "2", due_on=today() + timedelta(days=3))

    page = text_of(planner, "work")

    assert "short of 2\N{NO-BREAK SPACE}pcs of R-159" in page
    assert f"parts from {(today() + timedelta(days=3)).isoformat()}" in page
    assert address("order", other) in page


def test_however_much_is_known_of_a_part_its_page_asks_the_same(
    planner: Client, order: WorkOrder, django_assert_num_queries, django_assert_max_num_queries
):
    part = make_part(order.conveyor.plant, "9")
    PartUse.objects.create(part=part, on="troughing_idlers", by="roll")
    need(order, part, "1")
    expect(part, "2")
    text_of(planner, "part", part.pk)
    with django_assert_max_num_queries(30) as one:
        text_of(planner, "part", part.pk)
    for number in range(3):
        other = make_order_by_hand(order.conveyor)
        need(other, part, "1")
        expect(part, "2", note=f"pallet {number}")
        PartUse.objects.create(part=part, on="return_idlers", diameter_mm=100 + number)

    with django_assert_num_queries(len(one)):
        text_of(planner, "part", part.pk)
