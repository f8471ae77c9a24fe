"""Repeat offenders in real Chromium: figures tell how they come about by key, finger and mouse."""

import pytest
from django.conf import settings
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from plant.roles import Role
from tests.diagnostics.reckoned_rows import failed, make_detail, make_faults, make_reckoning
from tests.plant.factories import make_conveyor, make_person, make_plant, signed_in

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]

PHONE, DESK = {"width": 360, "height": 740}, {"width": 1440, "height": 900}
_HAND_PX = 44


def opened(browser: Browser, live_server: LiveServer, size: dict[str, int]) -> Page:
    plant = make_plant()
    reckoning = make_reckoning(plant)
    for number in range(3):
        belt = make_conveyor(plant, tag=f"Q3{number}", area="Quay")
        make_faults(reckoning, belt, make_detail(**failed()), lost_hours_unsaid=1)
    client = signed_in(make_person(Role.LEAD, plants=[plant]))
    context = browser.new_context(viewport=size)  # type: ignore[arg-type]
    name = settings.SESSION_COOKIE_NAME
    context.add_cookies(
        [{"name": name, "value": client.cookies[name].value, "url": live_server.url}]
    )
    page = context.new_page()
    page.goto(live_server.url + reverse("repeat-offenders"))
    return page


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_figure_tells_how_it_comes_about_by_key(
    size: dict[str, int], browser: Browser, live_server: LiveServer
):
    page = opened(browser, live_server, size)
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    figure = page.get_by_role("button", name="Fair rate: 3.10 a year").first
    words = page.get_by_text("6 cases in 548 days are 4.00 a year.").first

    expect(words).to_be_hidden()
    figure.focus()
    page.keyboard.press("Enter")
    expect(words).to_be_visible()
    box = words.bounding_box()
    assert box is not None
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= size["width"]
    assert box["y"] + box["height"] <= size["height"]
    page.keyboard.press("Escape")

    expect(words).to_be_hidden()
    expect(figure).to_be_focused()
    assert said == []


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_nothing_is_wider_than_the_window_and_hands_find_every_figure(
    size: dict[str, int], browser: Browser, live_server: LiveServer
):
    page = opened(browser, live_server, size)

    wide = page.evaluate("() => document.documentElement.scrollWidth")
    assert wide <= size["width"] + 1
    for figure in page.locator("tbody button.tells").all():
        box = figure.bounding_box()
        assert box is not None
        assert box["width"] >= _HAND_PX
        assert box["height"] >= _HAND_PX


def test_a_heading_explains_its_estimate(browser: Browser, live_server: LiveServer):
    page = opened(browser, live_server, DESK)

    page.get_by_role("button", name="Trend", exact=True).click()

    expect(page.locator("#about-trend")).to_be_visible()
    expect(page.locator("#about-trend")).to_contain_text("Military handbook test")
