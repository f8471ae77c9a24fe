"""The outage sheet in real Chromium: work carried by mouse, by finger and by key."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from plant.models import Plant
from plant.roles import Role
from tests.browser.test_every_sheet import session_of
from tests.plant.factories import make_person, make_plant, signed_in
from tests.workorders.factories import make_conveyor
from tests.workorders.sheet_rows import make_approved, make_coming, make_crew, place_in
from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.services import placing

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK, PHONE = (1440, 900), (360, 740)
# Beyond the rest that a finger has to make before it carries. [ms]
REST_MS = 600


@pytest.fixture
def plant() -> Plant:
    return make_plant(time_zone="America/Halifax")


@pytest.fixture
def crews(plant: Plant) -> list[Crew]:
    return [make_crew(plant, name) for name in ("Day crew", "Jointers")]


@pytest.fixture
def order(plant: Plant, crews: list[Crew]) -> WorkOrder:
    """Two hours with the first crew, from the beginning of a window that lasts eight."""
    conveyor = make_conveyor(plant, tag="Q30")
    place = place_in(make_coming(conveyor), crews[0])
    approved = make_approved(conveyor)
    return placing.place_order(order_id=approved.pk, place=place, by=None, now=timezone.now())


@pytest.fixture
def opened(browser: Browser, live_server: LiveServer, plant: Plant) -> Iterator[Any]:
    contexts = []

    def open_sheet(size: tuple[int, int], **more: Any) -> Page:
        viewport = {"width": size[0], "height": size[1]}
        context = browser.new_context(base_url=live_server.url, viewport=viewport, **more)
        contexts.append(context)
        client = signed_in(make_person(Role.PLANNER, plants=[plant]))
        context.add_cookies([session_of(client, live_server)])
        page = context.new_page()
        page.goto(reverse("outage-sheet"))
        page.wait_for_selector(".has-script")
        return page

    yield open_sheet
    for context in contexts:
        context.close()


def _lines(page: Page) -> Locator:
    """The lines of the window's strip, the first crew's first."""
    return page.locator(".band .lanes")


def _at(line: Locator, hours: float, is_upright: bool = False) -> tuple[float, float]:
    """The point of a line so many hours after the window begins, an hour into the strip."""
    # What waits for a place lies over the foot of the screen.
    line.evaluate("line => line.closest('.band').scrollIntoView({ block: 'center' })")
    box = line.bounding_box()
    assert box is not None
    share = (1 + hours) / 10
    if is_upright:
        return box["x"] + box["width"] / 2, box["y"] + share * box["height"]
    return box["x"] + share * box["width"], box["y"] + 20


def _carry(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(start[0] + 10, start[1], steps=2)
    page.mouse.move(*end, steps=5)


def _wait_until_still(page: Page) -> None:
    """A page that a finger threw goes on for a while, longer on a busy machine."""
    before = None
    for _look in range(50):
        now = page.evaluate("window.scrollY")
        if now == before:
            return
        before = now
        page.wait_for_timeout(200)


def _told(page: Page, words: str) -> None:
    expect(page.locator("#sheet-told")).to_contain_text(words)


def _hours_in(order: WorkOrder) -> float:
    order.refresh_from_db()
    assert order.window is not None
    assert order.planned_for is not None
    return (order.planned_for - order.window.starts_at) / timedelta(hours=1)


def test_work_is_carried_by_mouse_along_its_line_and_undone(opened: Callable, order: WorkOrder):
    page = opened(DESK)
    line = _lines(page).first

    _carry(page, _at(line, 0.5), _at(line, 3.5))
    page.mouse.up()

    _told(page, f"{order.number} stands")
    assert _hours_in(order) == 3

    page.get_by_role("button", name="Undo").click()

    _told(page, "07:00 to 09:00")
    assert _hours_in(order) == 0


@pytest.mark.slow
def test_a_clash_is_told_while_work_is_carried_and_asked_about_when_it_is_put_down(
    opened: Callable, order: WorkOrder
):
    page = opened(DESK)
    line = _lines(page).first

    _carry(page, _at(line, 0), _at(line, 7))
    expect(page.locator("#sheet-note")).to_contain_text("after the window")
    page.mouse.up()

    page.get_by_role("button", name="Leave it where it was").click()
    _told(page, "left where it was")
    assert _hours_in(order) == 0

    _carry(page, _at(line, 0), _at(line, 7))
    page.mouse.up()
    page.get_by_role("button", name="Put it there all the same").click()

    _told(page, f"{order.number} stands")
    assert _hours_in(order) == 7
    expect(page.locator(".troubles")).to_contain_text("after the window")


@pytest.mark.slow
def test_work_goes_to_another_crew_off_the_sheet_and_from_below_onto_it(
    opened: Callable, order: WorkOrder, crews: list[Crew]
):
    page = opened(DESK)
    first, second = _lines(page).nth(0), _lines(page).nth(1)

    _carry(page, _at(first, 0.5), _at(second, 0.5))
    page.mouse.up()
    _told(page, "with Jointers")
    order.refresh_from_db()
    assert order.crew == crews[1]

    _carry(page, _at(second, 0.5), (700, 880))
    page.mouse.up()
    _told(page, "is off the sheet")
    order.refresh_from_db()
    assert order.state == "approved"

    end = _at(first, 2)
    box = page.locator(f"#job-{order.number} a").bounding_box()
    assert box is not None
    _carry(page, (box["x"] + 5, box["y"] + 10), end)
    page.mouse.up()
    _told(page, "with Day crew")
    assert _hours_in(order) == 2


@pytest.mark.slow
@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "telephone"])
def test_work_is_carried_by_a_finger_that_rests_first(
    opened: Callable, order: WorkOrder, size: tuple[int, int]
):
    page = opened(size, has_touch=True, is_mobile=size == PHONE)
    is_upright = size == PHONE
    line = _lines(page).first
    start = _at(line, 0.5, is_upright)
    end = _at(line, 2.5, is_upright)
    touch = page.context.new_cdp_session(page)

    def send(kind: str, *points: tuple[float, float]) -> None:
        told = [{"x": x, "y": y} for x, y in points]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": told})

    # A finger that moves at once scrolls and carries nothing.
    send("touchStart", start)
    send("touchMove", (start[0], start[1] - 30))
    send("touchEnd")
    page.wait_for_timeout(REST_MS)
    assert _hours_in(order) == 0

    _wait_until_still(page)
    start, end = _at(line, 0.5, is_upright), _at(line, 2.5, is_upright)
    _wait_until_still(page)
    send("touchStart", start)
    _told(page, "carried")
    for step in range(1, 6):
        between = [a + (b - a) * step / 5 for a, b in zip(start, end, strict=True)]
        send("touchMove", (between[0], between[1]))
        page.wait_for_timeout(40)
    send("touchEnd")

    _told(page, f"{order.number} stands")
    assert _hours_in(order) == 2


@pytest.mark.slow
@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "telephone"])
def test_work_is_carried_by_keys_put_down_and_given_up(
    opened: Callable, order: WorkOrder, crews: list[Crew], size: tuple[int, int]
):
    page = opened(size)
    later, other = ("ArrowDown", "ArrowRight") if size == PHONE else ("ArrowRight", "ArrowDown")
    page.locator(f"#job-{order.number} a").focus()

    page.keyboard.press(f"Shift+{later}")
    page.keyboard.press(later)
    _told(page, "08:15, Day crew")
    page.keyboard.press(other)
    _told(page, "08:15, Jointers")
    _told(page, "nothing stands against it")
    page.keyboard.press("Enter")

    _told(page, f"{order.number} stands")
    assert (_hours_in(order), order.crew) == (1.25, crews[1])
    expect(page.locator(f"#job-{order.number} a")).to_be_focused()

    page.keyboard.press(later)
    page.keyboard.press("Escape")
    _told(page, "left where it was")
    assert _hours_in(order) == 1.25

    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Place on the outage sheet")


@pytest.mark.slow
def test_work_that_somebody_else_moved_meanwhile_returns_and_it_is_told_who(
    opened: Callable, plant: Plant, order: WorkOrder, crews: list[Crew]
):
    page = opened(DESK)
    colleague = make_person(Role.PLANNER, plants=[plant])
    window = OutageWindow.objects.get()
    begins = window.starts_at + timedelta(hours=5)
    place = placing.Place(crews[1], window, begins, begins + timedelta(hours=1))
    placing.place_order(order_id=order.pk, place=place, by=colleague, now=timezone.now())

    line = _lines(page).first
    _carry(page, _at(line, 0.5), _at(line, 3.5))
    page.mouse.up()

    _told(page, str(colleague))
    assert (_hours_in(order), order.crew) == (5, crews[1])
    bar = _lines(page).nth(1).locator(f"#job-{order.number}")
    expect(bar).to_be_visible()


@pytest.mark.slow
def test_without_signal_nothing_moves_and_it_is_said(opened: Callable, order: WorkOrder):
    page = opened(DESK)
    line = _lines(page).first
    page.context.set_offline(True)

    _carry(page, _at(line, 0.5), _at(line, 3.5))
    page.mouse.up()

    _told(page, "Nothing was moved")
    assert _hours_in(order) == 0
