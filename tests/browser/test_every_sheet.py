"""Every page in real Chromium: nothing blocked, axe content, and on a telephone all of it in sight.

What stands folded is unfolded before it is measured.
"""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, ConsoleMessage, Page
from pytest_django.live_server_helper import LiveServer

from plant.roles import Role
from tests.addresses import every_address
from tests.plant.factories import signed_in
from tests.world import World, make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 360, "height": 740}
DESK = {"width": 1440, "height": 900}
# Moderate and minor ones are advice; these keep people out.
_KEEPS_OUT = {"serious", "critical"}
# A pixel of rounding is no scroll bar.
_OVERFLOW = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth - 1"
# What may be wider than a telephone in a frame of its own, and why.
_MAY_SCROLL = {
    "pre": "code keeps its lines",
    ".chart .scroll": "a chart keeps the size it is drawn at; its table below says the same",
    ".swagger-ui *": "the reference of the interface is read at a desk",
}
_SCROLLING = """(may) => {
  for (const folded of document.querySelectorAll("main details")) folded.open = true;
  const scrolls = (one) => ["auto", "scroll"].includes(getComputedStyle(one).overflowX)
    && one.clientWidth > 1 && one.scrollWidth > one.clientWidth + 1 && !one.matches(may);
  return [...document.querySelectorAll("body *")].filter(scrolls).map((one) =>
    `${one.tagName.toLowerCase()} ${one.getAttribute("aria-label") || one.className}`
    + ` scrolls by ${one.scrollWidth - one.clientWidth} px`);
}"""


@pytest.fixture
def world() -> World:
    return make_world()


def session_of(client: Client, live_server: LiveServer) -> dict[str, str]:
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": live_server.url}


@pytest.fixture
def sheets(world: World, live_server: LiveServer) -> list[str]:
    """What an administrator can open as whole pages."""
    client = signed_in(world.people[Role.ADMINISTRATOR])
    # A broken page is found, and said better, by the tests without a browser.
    client.raise_request_exception = False
    opened = []
    for address in every_address():
        if not address.name or address.sample.startswith("/api/"):
            continue
        path = world.address(address)
        answer = client.get(path)
        if answer.status_code == 200 and not answer.streaming and b"<html" in answer.content:
            opened.append(path)
    return opened


@pytest.mark.slow
@pytest.mark.parametrize(
    ("scheme", "size"),
    [("light", PHONE), ("dark", DESK)],
)
def test_every_sheet_lets_everybody_in(
    scheme: str,
    size: dict[str, int],
    browser: Browser,
    world: World,
    live_server: LiveServer,
    sheets: list[str],
):
    said: list[str] = []
    page = _visitor(scheme, browser, world, live_server)
    page.on("console", lambda message: _note(message, said))

    for path in sheets:
        page.set_viewport_size(size)
        page.goto(path)
        said += [f"{path}: {fault}" for fault in _keeping_out(page)]
        page.set_viewport_size(PHONE)
        hidden = page.evaluate(_SCROLLING, ", ".join(_MAY_SCROLL))
        said += [f"{path} on a telephone: {block}" for block in hidden]
        wider = page.evaluate(_OVERFLOW)
        if wider > 0:
            said.append(f"{path}: {wider} px wider than a telephone")
    page.context.close()

    assert not said, "\n".join(said)


def _visitor(scheme: str, browser: Browser, world: World, live_server: LiveServer) -> Page:
    context = browser.new_context(color_scheme=scheme, base_url=live_server.url)
    client = signed_in(world.people[Role.ADMINISTRATOR])
    context.add_cookies([session_of(client, live_server)])
    return context.new_page()


def _keeping_out(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [
        f"{one['id']}: {one['nodes'][0]['html'][:160]}"
        for one in found
        if one["impact"] in _KEEPS_OUT
    ]


def _note(message: ConsoleMessage, said: list[str]) -> None:
    if message.type in {"error", "warning"}:
        said.append(f"{message.location.get('url')}: {message.text}")
