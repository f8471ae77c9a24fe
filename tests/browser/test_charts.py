"""Charts in real Chromium: still until asked, then read mark by mark, under the strict policy."""

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.utils import timezone
from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from diagnostics.models import Case
from plant.models import Belt, Conveyor
from plant.roles import Role
from tests.diagnostics.factories import make_case
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]

PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
DESK = {"viewport": {"width": 1440, "height": 900}}
# What a page may not fetch unasked.
_LARGE = "drawer"
# Longer than a pointer rests before a chart is opened.
_WHILE_MS = 600

Visit = Callable[..., Page]


@pytest.fixture
def conveyor() -> Conveyor:
    plant = make_plant(code="LT")
    conveyor = make_complete_conveyor(plant, capacity_tph=400, take_up_tension_kn=12)
    conveyor.components.filter(count__gt=1).update(diameter_mm=108)
    Belt.objects.filter(conveyor=conveyor).update(mass_kg_m2=14)
    for zone in ("tail", "tail", "head"):
        case = make_case(conveyor, now=timezone.now())
        Case.objects.filter(pk=case.pk).update(zone=zone)
    return conveyor


@pytest.fixture
def said() -> list[str]:
    """What the browser complained of."""
    return []


@pytest.fixture
def fetched() -> list[str]:
    return []


@pytest.fixture
def visit(
    browser: Browser,
    live_server: LiveServer,
    conveyor: Conveyor,
    said: list[str],
    fetched: list[str],
) -> Iterator[Visit]:
    client = signed_in(make_person(Role.LEAD, plants=[conveyor.plant]))
    name = settings.SESSION_COOKIE_NAME
    cookie: Any = {"name": name, "value": client.cookies[name].value, "url": live_server.url}
    contexts = []

    def note(message: ConsoleMessage) -> None:
        said.append(message.text)

    def opened(path: str, **options: Any) -> Page:
        context = browser.new_context(base_url=live_server.url, **options)
        contexts.append(context)
        context.add_cookies([cookie])
        page = context.new_page()
        page.on("console", note)
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on("request", lambda request: fetched.append(request.url))
        page.goto(path)
        return page

    yield opened
    for context in contexts:
        context.close()


def chart_of(page: Page, place: int = 0) -> Locator:
    return page.locator("figure.chart:visible").nth(place)


def open_closer(chart: Locator) -> None:
    chart.get_by_role("button", name="Look closer").click()
    expect(chart.get_by_role("button", name="Next mark")).to_be_visible()


def reading_of(chart: Locator) -> Locator:
    return chart.locator("output")


def test_a_telephone_fetches_nothing_large_until_its_owner_asks(
    visit: Visit, fetched: list[str], said: list[str]
) -> None:
    page = visit("/trends/", **PHONE)
    chart = chart_of(page)
    chart.locator(".scroll").tap()
    page.wait_for_timeout(_WHILE_MS)
    assert not [one for one in fetched if _LARGE in one]

    open_closer(chart)

    assert [one for one in fetched if _LARGE in one]
    chart.get_by_role("button", name="Next mark").tap()
    expect(reading_of(chart)).to_contain_text("cases: 3")
    assert said == []


def test_marks_are_read_by_keys_from_row_to_row(visit: Visit, said: list[str]) -> None:
    page = visit("/trends/", **DESK)
    chart = chart_of(page, 1)

    open_closer(chart)
    page.keyboard.press("ArrowRight")
    expect(reading_of(chart)).to_contain_text(re.compile(r"Zone: tail; .*cases: 2.*\(1 of 2\)"))
    expect(page.locator(".chart-note")).to_contain_text("tail")
    page.keyboard.press("End")
    expect(reading_of(chart)).to_contain_text(re.compile(r"Zone: head; .*cases: 1.*\(2 of 2\)"))
    page.keyboard.press("Escape")

    expect(page.locator(".chart-note")).to_have_count(0)
    expect(page.locator(".chart-ring")).to_have_count(0)
    assert said == []


def test_a_resting_mouse_opens_a_chart_and_a_mark_says_what_it_is(
    visit: Visit, said: list[str]
) -> None:
    page = visit("/trends/", **DESK)
    chart = chart_of(page, 1)

    chart.locator(".scroll").hover()
    expect(chart.get_by_role("button", name="Next mark")).to_be_visible()
    chart.locator("svg .mark-symbol path").first.hover()

    expect(page.locator(".chart-note")).to_contain_text("tail")
    assert said == []


def test_a_note_leaves_with_who_steps_by_button(visit: Visit) -> None:
    page = visit("/trends/", **DESK)
    chart = chart_of(page, 1)
    open_closer(chart)
    chart.get_by_role("button", name="Next mark").click()
    expect(page.locator(".chart-note")).to_have_count(1)

    page.get_by_role("searchbox").first.focus()

    expect(page.locator(".chart-note")).to_have_count(0)


def test_an_opened_chart_follows_night_and_print(visit: Visit, said: list[str]) -> None:
    page = visit("/trends/", **DESK, color_scheme="light")
    chart = chart_of(page)
    open_closer(chart)
    bar = chart.locator("svg .mark-rect path").first
    by_day = bar.evaluate("bar => getComputedStyle(bar).stroke")

    page.emulate_media(color_scheme="dark")

    expect(bar).not_to_have_css("stroke", by_day)
    page.emulate_media(media="print")
    expect(chart.locator("svg").first).to_be_visible()
    expect(chart.locator(".at-the-chart")).to_be_hidden()
    assert said == []


def test_a_long_belt_is_looked_at_more_nearly_and_all_of_it_again(
    visit: Visit, conveyor: Conveyor, said: list[str]
) -> None:
    page = visit(f"/conveyors/LT/{conveyor.tag}/check/", **DESK)
    chart = chart_of(page)
    open_closer(chart)
    fifty = chart.locator("svg .role-axis-label text").filter(has_text=re.compile("^50$"))
    expect(fifty).to_have_count(1)

    chart.get_by_role("button", name="Nearer").click()
    chart.get_by_role("button", name="Move on").click()
    expect(fifty).to_have_count(0)

    chart.get_by_role("button", name="All of it").click()
    expect(fifty).to_have_count(1)
    assert said == []


def test_without_scripts_the_drawing_and_its_table_stay(visit: Visit) -> None:
    page = visit("/trends/", **DESK, java_script_enabled=False)
    chart = chart_of(page)

    expect(chart.locator("svg").first).to_be_visible()
    expect(chart.get_by_role("button")).to_have_count(0)
    page.get_by_text("The same as a table").first.click()
    expect(page.get_by_role("row", name="all cases")).to_be_visible()


def test_a_chart_that_cannot_be_opened_stays_as_drawn(visit: Visit) -> None:
    page = visit("/trends/", **DESK)
    page.route("**/drawer.js", lambda route: route.abort())
    chart = chart_of(page)

    chart.get_by_role("button", name="Look closer").click()

    expect(reading_of(chart)).to_contain_text("The table below says the same.")
    expect(chart.locator("svg").first).to_be_visible()


def test_words_of_charts_are_large_enough_on_a_telephone(visit: Visit, conveyor: Conveyor) -> None:
    for path in ("/trends/", f"/conveyors/LT/{conveyor.tag}/check/"):
        page = visit(path, **PHONE)
        sizes = page.locator("figure.chart:visible svg text").evaluate_all(
            "all => all.map(one => parseFloat(getComputedStyle(one).fontSize)"
            " * Math.hypot(one.getScreenCTM().a, one.getScreenCTM().b))"
        )
        assert sizes
        assert min(sizes) > 11.9
