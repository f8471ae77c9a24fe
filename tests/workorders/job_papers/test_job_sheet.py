"""The sheet of one job: what stands on it, read back from the PDF."""

from datetime import date, timedelta
from decimal import Decimal
from http import HTTPStatus

import pytest
from django.test import Client
from django.utils import timezone

from plant.models import Plant
from plant.roles import Role
from tests import pdf_reader
from tests.plant import camera
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders import factories
from tests.workorders.job_papers import reading
from tests.workorders.pages import address, client_of
from tests.workorders.sheet_rows import make_approved, make_crew, make_window
from workorders.models import OrderLink, OrderPart, Part, PartDue, WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db

NASTY = '#panic("x") *b* $x$ \\ @ref <a> // no \u200b 🦺 ' + "W" * 300


def sheet_of(client: Client, order: WorkOrder) -> bytes:
    response = client.get(address("order-sheet", order))
    assert response.status_code == HTTPStatus.OK, response.content
    assert response["Content-Type"] == "application/pdf"
    return response.content


def test_everything_a_crew_asks_stands_on_the_sheet(order: WorkOrder, technician: Client):
    conveyor = order.conveyor
    conveyor.isolation_points = ["MCC-4 drive isolator Q30-M1, lock 1", "Weight landed"]
    conveyor.left_words, conveyor.right_words = "sea side", "shed side"
    conveyor.save()

    words = reading.words_of(sheet_of(technician, order))

    for told in (
        order.number,
        order.title,
        str(conveyor),
        *order.cautions,
        "1 MCC-4 drive isolator Q30-M1, lock 1",
        "2 Weight landed",
        "left (sea side), right (shed side)",
        "2 mm",
        "advance the end on the left (sea side) toward the tail",
        "3 turns of the belt",
        *(step.what for step in order.steps.all()),
        *order.tools,
        *order.parts,
        order.proof,
        "Marks: square: work to be done",
        "Shifts made",
        "Isolated, locked and tried",
        "Guards back, isolation removed",
        "1 of",
    ):
        assert " ".join(told.split()) in words, told


def test_cautions_and_isolation_come_before_the_work(order: WorkOrder, technician: Client):
    WorkOrder.objects.filter(pk=order.pk).update(cautions=[])

    words = reading.words_of(sheet_of(technician, order))

    # Those of every walk stand in for an order that came without any.
    first, lock = (
        words.index("Before anything else"),
        words.index("The register names no isolation"),
    )
    assert first < words.index("Stay outside the guards") < lock < words.index("Done by, time")


def test_the_code_leads_back_to_the_order(order: WorkOrder, technician: Client):
    (first, *others) = camera.codes_of_pdf(sheet_of(technician, order))

    assert first == [f"http://testserver{address('order', order)}"]
    assert not any(others)
    assert technician.get(first[0]).status_code == HTTPStatus.OK


def test_every_page_says_its_order_and_its_number(order: WorkOrder, technician: Client):
    order.steps.update(what="Square the frame and tighten it. " * 60)

    pages = reading.pages_of(sheet_of(technician, order))

    assert len(pages) > 3
    for number, page in enumerate(pages, start=1):
        assert f"{order.number}, version {order.version}" in page
        assert f"{number} of {len(pages)}" in page


def test_parts_say_how_many_and_where_they_are(order: WorkOrder, technician: Client):
    today = timezone.localdate(timezone=order.conveyor.plant.zone_info)
    lines = {"LT-1": (8, None), "LT-2": (0, today + timedelta(days=9)), "LT-3": (1, None)}
    for number, (on_hand, due_on) in lines.items():
        part = Part.objects.create(
            plant=order.conveyor.plant, number=number, name="Roll", kind="roll", on_hand=on_hand
        )
        OrderPart.objects.create(order=order, part=part, amount=Decimal(3))
        if due_on:
            PartDue.objects.create(part=part, amount=5, due_on=due_on)

    words = reading.words_of(sheet_of(technician, order))

    assert "LT-1 Roll 3 pcs on hand" in words
    assert f"LT-2 Roll 3 pcs 3 pcs come on {today + timedelta(days=9)}" in words
    assert "LT-3 Roll 3 pcs short by 2 pcs" in words


def test_what_must_come_first_is_said(planner: Client, plant: Plant):
    conveyor = make_complete_conveyor(plant)
    before, order = make_approved(conveyor, "Weld the frame"), make_approved(conveyor)
    OrderLink.objects.create(order=order, after=before, at=factories.NOW)
    WorkOrder.objects.filter(pk=order.pk).update(
        waiting_for="parts", waiting_why="rolls are at the gate", earliest_on=date(2026, 12, 3)
    )

    words = reading.words_of(sheet_of(planner, order))

    assert f"Begins after {before.number} Weld the frame (approved)" in words
    assert "Waits for parts: rolls are at the gate" in words
    assert "Not before 2026-12-03" in words


def test_window_crew_and_times_are_the_plants_own(planner: Client, plant: Plant):
    conveyor = make_complete_conveyor(plant)
    order, window, crew = make_approved(conveyor), make_window(conveyor), make_crew(plant)
    WorkOrder.objects.filter(pk=order.pk).update(
        state=OrderState.SCHEDULED,
        window=window,
        crew=crew,
        planned_for=window.starts_at,
        planned_until=window.starts_at + timedelta(hours=2),
    )

    words = reading.words_of(sheet_of(planner, order))

    # 14:30 UTC is 10:30 in Halifax.
    assert "Quay maintenance day, 2026-11-03 10:30–18:30 AST" in words
    assert "Planned 2026-11-03 10:30–12:30 AST" in words
    assert "Crew Day crew" in words


def test_the_same_order_at_the_same_minute_gives_the_same_file(order, technician, monkeypatch):
    moment = timezone.now()
    monkeypatch.setattr(timezone, "now", lambda: moment.replace(second=3))
    first = sheet_of(technician, order)
    monkeypatch.setattr(timezone, "now", lambda: moment.replace(second=51))

    assert sheet_of(technician, order) == first


def test_hostile_words_are_set_as_words(order: WorkOrder, technician: Client):
    order.steps.update(what=f"{NASTY} {'long ' * 400}")
    WorkOrder.objects.filter(pk=order.pk).update(
        title=NASTY[:200],
        tools=[NASTY],
        parts=['#image("/etc/passwd")'],
        cautions=[NASTY],
        component=NASTY[:48],
        proof=NASTY,
        waiting_for="people",
        waiting_why=NASTY,
        correction={"what": NASTY, "where": '#read("x")', "move_mm": 2.5, "direction": NASTY},
    )
    order.conveyor.isolation_points = [NASTY[:200]]
    order.conveyor.save()

    pdf = sheet_of(technician, order)

    letters = pdf_reader.letters_of(pdf)
    assert '#panic("x")*b*$x$\\@ref<a>//no' in letters
    assert '#image("/etc/passwd")' in letters
    assert "safetyvest" in letters
    assert pdf_reader.longest_line_of(pdf) < 160


def test_work_on_the_belt_itself_says_where_on_the_belt(order: WorkOrder, technician: Client):
    WorkOrder.objects.filter(pk=order.pk).update(
        position_m=None, component="", zone="", belt_position_m=41.2, needs_isolation=False
    )

    words = reading.words_of(sheet_of(technician, order))

    assert "41.2 m from the reference splice" in words
    assert "Place on the loop" not in words
    assert "done while the belt runs" in words
    assert "Isolated, locked and tried" not in words


def test_a_sheet_of_another_plant_is_not_there(order: WorkOrder):
    elsewhere = client_of(Role.ADMINISTRATOR, make_plant())

    assert elsewhere.get(address("order-sheet", order)).status_code == HTTPStatus.NOT_FOUND


def test_the_order_page_leads_to_its_sheet(order: WorkOrder, technician: Client):
    assert f'href="{address("order-sheet", order)}"' in technician.get(address("order", order)).text


@pytest.mark.parametrize(
    ("state", "said"),
    [
        (OrderState.PROPOSED, "This order is only proposed"),
        (OrderState.APPROVED, ""),
        (OrderState.DONE, "This order is done. Nothing here may begin."),
        (OrderState.CANCELLED, "This order is cancelled. Nothing here may begin."),
    ],
)
def test_work_that_may_not_begin_is_stopped_first(planner, plant, state, said):
    order = make_approved(make_complete_conveyor(plant))
    WorkOrder.objects.filter(pk=order.pk).update(state=state)

    words = reading.words_of(sheet_of(planner, order))

    assert ("Nothing here may begin" in words or "nothing here may begin" in words) == bool(said)
    assert words.index(said) < words.index("Before anything else")
