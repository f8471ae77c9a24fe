"""A slow link in real Chromium: what is typed or chosen before the scripts arrive still counts."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.conf import settings
from playwright.sync_api import Browser, Page, Route, expect
from pytest_django.live_server_helper import LiveServer

from plant.models import Conveyor
from plant.roles import Role
from tests.diagnostics.factories import make_case
from tests.plant.drawn_pictures import drawn, written
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

HTMX = re.compile(r"/htmx-[^/]*\.js")


@pytest.fixture
def quay() -> Conveyor:
    return make_complete_conveyor(
        make_plant(code="LT", name="Larkwater Terminal"),
        tag="Q30",
        name="Quay conveyor",
        nicknames=["the quay belt"],
    )


@pytest.fixture
def said() -> list[str]:
    """What the browser objects to."""
    return []


@pytest.fixture
def asked() -> list[str]:
    """What htmx asked the site for."""
    return []


@pytest.fixture
def page(
    browser: Browser, live_server: LiveServer, quay: Conveyor, said: list[str], asked: list[str]
) -> Iterator[Page]:
    client = signed_in(make_person(Role.ADMINISTRATOR, plants=[quay.plant]))
    context = browser.new_context(base_url=live_server.url)
    name = settings.SESSION_COOKIE_NAME
    cookie = {"name": name, "value": client.cookies[name].value, "url": live_server.url}
    context.add_cookies([cookie])
    page = context.new_page()
    # That a person was quicker than the page's own focus is no fault of the page.
    page.on(
        "console",
        lambda message: said.append(message.text) if "Autofocus" not in message.text else None,
    )
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on(
        "request",
        lambda sent: asked.append(sent.url) if "hx-request" in sent.headers else None,
    )
    yield page
    context.close()


@contextmanager
def before_it_arrives(page: Page, script: re.Pattern[str], address: str) -> Iterator[None]:
    """Opens the page and holds one script back until the block is left."""
    held: list[Route] = []

    page.route(script, lambda route: held.append(route), times=1)
    page.goto(address, wait_until="commit")
    page.get_by_role("contentinfo").wait_for()
    yield
    # What is shown may be read, and the script asked for, a moment before the end of the page.
    for _look in range(100):
        if held and page.evaluate("document.readyState") == "interactive":
            break
        page.wait_for_timeout(50)
    assert held, "the page does not ask for this script at all"
    assert page.evaluate("document.readyState") == "interactive"
    for route in held:
        route.continue_()


def test_words_for_a_belt_typed_before_the_script_find_it(page: Page, said: list[str]):
    with before_it_arrives(page, HTMX, "/complaints/new/"):
        page.get_by_role("searchbox", name="which belt").press_sequentially("quya belt")

    # The only one found is chosen, and what is open on it said, as for slower hands.
    expect(page.get_by_role("radio", name=re.compile("Q30"))).to_be_checked()
    expect(page.get_by_text("No case is open on Q30")).to_be_visible()
    assert said == []


def test_words_typed_before_and_after_the_script_are_searched_as_they_stand(page: Page):
    field = page.get_by_role("searchbox", name="which belt")
    with before_it_arrives(page, HTMX, "/complaints/new/"):
        field.press_sequentially("no such")
    expect(page.get_by_text("No belt of your plants is called anything like that")).to_be_visible()

    field.fill("quay")

    expect(page.get_by_role("radio", name=re.compile("Q30"))).to_be_checked()


def test_a_choice_made_before_the_script_is_not_lost_to_a_search(page: Page, asked: list[str]):
    unsure = page.get_by_role("radio", name="Not sure which belt")

    with (
        page.expect_response(re.compile("/open-cases/")),
        before_it_arrives(page, HTMX, "/complaints/new/"),
    ):
        page.get_by_role("searchbox", name="which belt").press_sequentially("quay")
        unsure.check()

    page.wait_for_load_state("networkidle")
    expect(unsure).to_be_checked()
    assert len(asked) == 1


def test_a_belt_chosen_by_the_site_and_left_alone_asks_for_nothing(
    page: Page, quay: Conveyor, asked: list[str]
):
    with before_it_arrives(page, HTMX, f"/complaints/new/?conveyor={quay.pk}"):
        pass

    page.wait_for_load_state("networkidle")
    expect(page.get_by_role("radio", name=re.compile("Q30"))).to_be_checked()
    assert asked == []


def test_a_conveyor_looked_for_before_the_script_is_found(page: Page, said: list[str]):
    with before_it_arrives(page, HTMX, "/"):
        page.get_by_role("searchbox", name="Find a conveyor").press_sequentially("quya")

    expect(page.locator("#found-conveyors").get_by_role("link", name="Q30")).to_be_visible()
    assert said == []


def test_causes_asked_for_before_the_script_are_listed(page: Page, asked: list[str]):
    with before_it_arrives(page, HTMX, "/knowledge/"):
        page.get_by_text("Narrow it down").click()
        page.get_by_label("zone").select_option(index=1)

    expect(page).to_have_url(re.compile(r"zone=\w"))
    assert len(asked) == 1


def test_a_photo_chosen_before_the_script_stays_beside_the_next(page: Page, quay: Conveyor):
    case = make_case(quay)
    photos = page.get_by_label("photos", exact=True)
    sent = [
        {
            "name": f"IMG_{number}.jpg",
            "mimeType": "image/jpeg",
            "buffer": written(drawn(400 + number)),
        }
        for number in range(2)
    ]

    with before_it_arrives(page, re.compile(r"/photos\.js"), f"/cases/{case.number}/photos/"):
        photos.set_input_files(sent[:1])
    expect(page.locator(".chosen canvas")).to_have_count(1)
    photos.set_input_files(sent[1:])
    expect(page.locator(".chosen canvas")).to_have_count(2)
    page.get_by_role("button", name="Keep the photos").click()

    expect(page.get_by_text("2 photos are kept.")).to_be_visible()
