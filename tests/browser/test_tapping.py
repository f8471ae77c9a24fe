"""The tapping page in real Chromium on a telephone: clock, keys, undo, a page loaded again."""

import re
from datetime import timedelta

import pytest
from django.conf import settings
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from diagnostics.inference.vocabulary import TapEvent
from diagnostics.models import Case, TimedLook
from plant.roles import Role
from tests.diagnostics.factories import NOW, make_case, make_conveyor, make_person
from tests.plant.factories import signed_in

pytestmark = [
    pytest.mark.slow,
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
]

TURN_MS = 61_250
# Gloves: no key smaller than this. [px]
LEAST_KEY_PX = 44


@pytest.fixture
def case() -> Case:
    return make_case(make_conveyor())


@pytest.fixture
def page(browser: Browser, live_server: LiveServer, case: Case) -> Page:
    client = signed_in(make_person(Role.TECHNICIAN, case.conveyor.plant))
    context = browser.new_context(base_url=live_server.url, viewport={"width": 360, "height": 740})
    name = settings.SESSION_COOKIE_NAME
    cookie = {"name": name, "value": client.cookies[name].value, "url": live_server.url}
    context.add_cookies([cookie])
    page = context.new_page()
    page.clock.install(time=NOW)
    page.goto(f"/cases/{case.number}/timed-look/?station=R5")
    page.get_by_label("I have read the cautions").check()
    page.get_by_role("button", name="Go to the taps").click()
    expect(page.get_by_role("button", name="Start the clock")).to_be_visible()
    # Else it runs on by itself beside what the tests let it run, and a slow machine is late.
    page.clock.pause_at(NOW + timedelta(hours=1))
    return page


def tap_four_turns(page: Page) -> None:
    for _turn in range(4):
        page.clock.run_for(10_000)
        page.get_by_role("button", name="over left").click()
        page.clock.run_for(2_000)
        page.get_by_role("button", name="back", exact=True).click()
        page.clock.run_for(3_000)
        page.get_by_role("button", name="splice passes").click()
        page.clock.run_for(TURN_MS - 15_000)


def test_four_turns_are_tapped_and_kept(page: Page, case: Case):
    page.get_by_role("button", name="Start the clock").click()
    tap_four_turns(page)

    expect(page.locator("[data-turns]")).to_have_text("4.0")
    page.get_by_role("button", name="Stop and keep").click()

    expect(page.get_by_text("Something travels with the belt")).to_be_visible()
    row = TimedLook.objects.get(case=case)
    assert [event for _at, event in row.taps] == [
        TapEvent.OVER_LEFT.value,
        TapEvent.BACK.value,
        TapEvent.SPLICE.value,
    ] * 4
    assert row.duration_s == pytest.approx(4 * TURN_MS / 1000, abs=0.1)


def test_the_page_says_when_it_is_enough(page: Page):
    page.get_by_role("button", name="Start the clock").click()
    expect(page.locator("[data-verdict]")).to_contain_text("Keep watching: at most 3 more turns")
    tap_four_turns(page)

    verdict = page.locator("[data-verdict]")
    expect(verdict).to_contain_text("Enough: it comes round with the belt")
    expect(verdict).to_contain_text("ahead of the reference splice")


def test_the_last_tap_is_undone(page: Page):
    page.get_by_role("button", name="Start the clock").click()
    page.clock.run_for(5_000)
    page.get_by_role("button", name="over left").click()
    page.clock.run_for(1_000)
    page.get_by_role("button", name="over right").click()
    expect(page.locator("[data-last]")).to_contain_text("2: ")

    page.get_by_role("button", name="Undo the last tap").click()

    expect(page.locator("[data-last]")).to_contain_text("over left")
    expect(page.locator("textarea")).to_have_value(re.compile(r"^5\.\d over left$"))


def test_taps_outlive_a_page_that_is_loaded_again(page: Page):
    page.get_by_role("button", name="Start the clock").click()
    page.clock.run_for(5_000)
    page.get_by_role("button", name="splice passes").click()

    page.reload()

    expect(page.get_by_role("button", name="over left")).to_be_visible()
    expect(page.locator("textarea")).to_have_value(re.compile(r"^5\.\d splice$"))


def test_keys_are_large_enough_for_gloves_and_nothing_is_wider_than_the_screen(page: Page):
    page.get_by_role("button", name="Start the clock").click()

    keys = page.locator(".pad button:visible")
    expect(keys).to_have_count(6)
    boxes = [one.bounding_box() for one in keys.all()]
    assert all(box and min(box["width"], box["height"]) >= LEAST_KEY_PX for box in boxes)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_without_scripts_the_lines_are_typed(browser: Browser, live_server: LiveServer, page: Page):
    cookies = page.context.cookies()
    bare = browser.new_context(base_url=live_server.url, java_script_enabled=False)
    bare.add_cookies(cookies)
    typed = bare.new_page()

    typed.goto(page.url)
    typed.get_by_label("What you saw").fill("10 over left\n12 back\n200 end")
    typed.get_by_role("button", name="Keep the timed look").click()

    expect(typed.get_by_role("button", name="Take it back")).to_be_visible()
    assert TimedLook.objects.get().duration_s == 200
