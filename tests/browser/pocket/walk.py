"""A walk on a phone's screen, by touch: what the tests of its screens begin with."""

import re
from collections.abc import Iterator, Sequence

from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import Browser, Locator, Page, Request, expect

from diagnostics.models import Case, Sighting
from plant.roles import Role
from tests.diagnostics.factories import make_person, take
from tests.plant.factories import make_complete_conveyor, make_plant, signed_in

LONG_PRESS_MS = 600


def complained_of() -> Case:
    plant = make_plant(code="LT", name="Larkwater Terminal")
    conveyor = make_complete_conveyor(
        plant, tag="Q30", name="Quay conveyor", left_words="sea side", right_words="shed side"
    )
    complaint = take(conveyor, words="It rubs its frame near the hopper")
    assert complaint.case is not None
    return complaint.case


def open_phone(
    browser: Browser, site: str, case: Case, said: list[str], role: Role = Role.TECHNICIAN
) -> Iterator[Page]:
    """A technician's phone; `said` takes what the browser objects to."""
    client = signed_in(make_person(role, case.conveyor.plant))
    context = browser.new_context(
        base_url=site, viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True
    )
    name = settings.SESSION_COOKIE_NAME
    cookie = {"name": name, "value": client.cookies[name].value, "url": site}
    context.add_cookies([cookie])
    page = context.new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    asked: set[Request] = set()
    page.on("request", lambda one: asked.add(one))
    page.on("requestfinished", lambda one: asked.discard(one))
    page.on("requestfailed", lambda one: asked.discard(one))
    yield page
    # Else the site would still be at work on an answer while the tables are emptied,
    for _wait in range(100):
        if not asked:
            break
        page.wait_for_timeout(50)
    # and the phone would go on sending while the next test runs.
    context.close()


def begin(
    page: Page, case: Case, *, facing: str = "towards the head", more: Sequence[str] = ()
) -> None:
    page.goto(f"/walk/{case.number}/")
    page.get_by_role("link", name="Walk the belt").tap()
    page.get_by_label("I have read the cautions").tap()
    page.get_by_label(facing).tap()
    page.get_by_label("loaded", exact=True).tap()
    for words in more:
        page.get_by_label(words).tap()
    page.get_by_role("button", name="Go to the first station").tap()
    expect(page.get_by_text("stop 1 of")).to_be_visible()


def key(page: Page, words: str) -> Locator:
    """A key of the two columns, by degree and side as the person sees it."""
    return page.get_by_role("group", name="Where the belt runs").get_by_role(
        "button", name=re.compile(f"^{words}")
    )


def station(page: Page) -> str:
    return page.get_by_role("heading", level=1).inner_text()


def tap(page: Page, words: str) -> str:
    """One tap; the station at which it was made, once the page says that it is kept."""
    before = station(page)
    key(page, words).tap()
    expect(page.get_by_text(f"Kept: {before}").last).to_be_visible()
    return before


def go_to(page: Page, name: str) -> None:
    page.get_by_role("link", name="All stops").tap()
    page.get_by_role("link", name=re.compile(rf"^{name} ")).tap()
    expect(page.get_by_role("heading", level=1)).to_have_text(name)


def hold(page: Page, words: str) -> None:
    """A thumb that stays down, as a touch screen tells it."""
    box = key(page, words).bounding_box()
    assert box is not None
    spot = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
    touch = page.context.new_cdp_session(page)
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [spot]})
    page.wait_for_timeout(LONG_PRESS_MS)
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def sent(page: Page) -> None:
    expect(page.get_by_text("All sent")).to_be_visible()


def kept_at(name: str) -> Sighting:
    return Sighting.objects.get(station=name, taken_back_at__isnull=True)


def serious_faults(page: Page) -> list[str]:
    """What keeps people out who do not see or use the screen as others do."""
    found = Axe().run(page).response["violations"]
    return [one["id"] for one in found if one["impact"] in {"serious", "critical"}]
