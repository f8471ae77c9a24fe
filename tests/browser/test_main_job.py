"""The main job in real Chromium: a call becomes a case, a walk, a cause, an order, an answer."""

import json
import re
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from plant.models import ApiKey, Conveyor, User
from plant.roles import Role
from plant.services import keys
from tests.plant.factories import PASSWORD, make_complete_conveyor, make_person, make_plant
from tests.workorders.factories import NOW

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 360, "height": 740}
WORDS = "The quay belt is rubbing its frame again"
# From the head on the belt is off to the right and comes back slowly along the return run.
OFF_AT = {"Head pulley": "half", "R1": "half", "R2": "half", "R3": "half"}


@pytest.fixture
def quay() -> Conveyor:
    return make_complete_conveyor(
        make_plant(code="LT", name="Larkwater Terminal"),
        tag="Q30",
        name="Quay conveyor",
        nicknames=["the quay belt"],
    )


def sign_in(browser: Browser, live_server: LiveServer, person: User, **screen: object) -> Page:
    page = browser.new_context(base_url=live_server.url, **screen).new_page()
    page.goto("/")
    page.get_by_label("E-mail address or user name").fill(person.username)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("link", name="Today")).to_be_visible()
    return page


def press(page: Page, button: Locator) -> None:
    """Press what sends a form, and wait for the page that answers: on to the next by its address
    alone, a slow site would never have got it.
    """
    with page.expect_navigation():
        button.click()


def take_complaint(page: Page) -> None:
    page.get_by_role("link", name="Take a complaint").first.click()
    page.get_by_role("searchbox", name="which belt").press_sequentially("quya belt")
    page.get_by_role("radio", name=re.compile("Q30")).check()
    expect(page.get_by_text("No case is open on Q30")).to_be_visible()
    page.get_by_label("Caller's words").fill(WORDS)
    page.get_by_label("How bad").select_option(label="rubs the frame")
    page.get_by_role("button", name="Keep the complaint").click()
    expect(page.get_by_text("LT-C-0001").first).to_be_visible()


def walk(page: Page) -> None:
    page.goto("/cases/LT-C-0001/")
    page.get_by_role("link", name="Page by page").first.click()
    page.get_by_role("button", name="Go to the first station").click()
    # Nobody gets past the cautions without saying that they were read.
    expect(page.get_by_role("heading", name="Before you go")).to_be_visible()
    page.get_by_label("I have read the cautions").check()
    press(page, page.get_by_role("button", name="Go to the first station"))
    stops = int(re.search(r"of (\d+)", page.locator(".dateline").inner_text()).group(1))
    for number in range(1, stops + 1):
        page.goto(re.sub(r"\?.*|$", f"?at={number}", page.url.split("#")[0], count=1))
        station = page.get_by_role("heading", level=1).inner_text()
        page.get_by_label("steady").first.check()
        if station in OFF_AT:
            name = re.compile(rf"^{OFF_AT[station]} right")
        else:
            name = re.compile("^centred$")
        press(page, page.get_by_role("button", name=name))
    press(page, page.get_by_role("button", name="Finish the walk-down"))


def confirm_first_cause(page: Page) -> str:
    page.goto("/cases/LT-C-0001/")
    page.get_by_role("link", name="See the diagnosis and confirm the cause").click()
    expect(page.get_by_text("A person confirms the cause")).to_be_visible()
    first = page.locator(".suspect").first.inner_text()
    press(page, page.get_by_role("button", name="Yes, this is the cause").first)
    return first


def orders_of(live_server: LiveServer, secret: str) -> list[dict[str, object]]:
    asked = Request(
        f"{live_server.url}/api/v1/work-orders", headers={"Authorization": f"Api-Key {secret}"}
    )
    with urlopen(asked, timeout=60) as answer:
        return json.load(answer)["results"]


def test_a_call_ends_as_a_work_order_that_an_outside_system_reads(
    browser: Browser, live_server: LiveServer, quay: Conveyor
):
    clerk, technician, planner = (
        make_person(role, plants=[quay.plant])
        for role in (Role.CLERK, Role.TECHNICIAN, Role.PLANNER)
    )
    _key, secret = keys.make_key(
        name="plant system",
        plant=quay.plant,
        scopes=[ApiKey.Scope.WORK_ORDERS_READ],
        expires_at=None,
        by=None,
        now=NOW,
    )

    take_complaint(sign_in(browser, live_server, clerk))
    on_the_belt = sign_in(browser, live_server, technician, viewport=PHONE, has_touch=True)
    walk(on_the_belt)
    cause = confirm_first_cause(on_the_belt)
    desk = sign_in(browser, live_server, planner)
    desk.goto("/work/LT-W-0001/")
    press(desk, desk.get_by_role("button", name=re.compile("Approve")).first)

    assert "Head pulley" in cause or "R1" in cause or "R2" in cause
    (order,) = orders_of(live_server, secret)
    assert (order["number"], order["state"]) == ("LT-W-0001", "approved")
    assert order["case"] == "LT-C-0001"


def test_a_repeat_joins_the_case_the_clerk_is_shown(
    browser: Browser, live_server: LiveServer, quay: Conveyor
):
    page = sign_in(browser, live_server, make_person(Role.CLERK, plants=[quay.plant]))
    take_complaint(page)

    page.goto("/complaints/new/")
    page.get_by_role("searchbox", name="which belt").press_sequentially("Q30")
    page.get_by_role("radio", name=re.compile("Q30")).check()
    page.get_by_role("radio", name=re.compile("Same problem: join LT-C-0001")).check()
    page.get_by_label("Caller's words").fill("It is over on the sea side now")
    press(page, page.get_by_role("button", name="Keep the complaint"))

    page.goto("/cases/LT-C-0001/")
    expect(page.get_by_text(WORDS).first).to_be_visible()
    expect(page.get_by_text("It is over on the sea side now")).to_be_visible()
    assert quay.cases.count() == 1
