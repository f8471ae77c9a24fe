"""The drawing of the loop in real Chromium: by key, by finger, on a telephone and on a wall."""

from itertools import combinations
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from plant.models import Belt, BeltMark, Conveyor
from plant.roles import Role
from tests.browser.test_every_sheet import session_of
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE, WALL = (360, 740), (1920, 1080)
_WORDS = """() => [...document.querySelectorAll("svg.loop[data-along]")]
  .filter((svg) => svg.getClientRects().length)
  .flatMap((svg) => [...svg.querySelectorAll("text")])
  .map((one) => { const box = one.getBoundingClientRect();
    return [one.textContent, box.left, box.top, box.right, box.bottom]; })"""
_WIDER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
# A height at which neither place is a link.
_FREE = """([xs, top, bottom]) => {
  for (let y = top + 1; y < bottom; y += 1) {
    const found = xs.map((x) => document.elementFromPoint(x, y));
    if (found.every((one) => one?.closest("svg.loop") && !one.closest("a"))) return y;
  }
}"""
# Font boxes are taller than their letters: so much of one may lie in another.
_AIR = 4.5


@pytest.fixture
def conveyor() -> Conveyor:
    row = make_complete_conveyor(make_plant())
    belt = Belt.objects.get(conveyor=row)
    BeltMark.objects.create(belt=belt, kind="tear", belt_position_m=30, length_m=2)
    row.profile = [[0, 2], [30, 2], [50, 3.5], [90, 9], [100, 9.2]]
    row.save()
    return row


@pytest.fixture
def opened(browser: Browser, live_server: LiveServer, conveyor: Conveyor) -> Any:
    contexts = []

    def open_page(size: tuple[int, int], asked: str = "", **more: Any) -> Page:
        context = browser.new_context(
            base_url=live_server.url, viewport={"width": size[0], "height": size[1]}, **more
        )
        contexts.append(context)
        client = signed_in(make_person(Role.TECHNICIAN, plants=[conveyor.plant]))
        context.add_cookies([session_of(client, live_server)])
        page = context.new_page()
        where = reverse("conveyor-drawing", args=[conveyor.plant.code, conveyor.tag])
        page.goto(f"{where}?{asked}")
        return page

    yield open_page
    for context in contexts:
        context.close()


def stretch_of(page: Page) -> tuple[float, float] | None:
    asked = parse_qs(urlsplit(page.url).query)
    return (float(asked["from"][0]), float(asked["to"][0])) if "from" in asked else None


@pytest.mark.slow
@pytest.mark.parametrize("size", [PHONE, WALL], ids=["telephone", "wall"])
@pytest.mark.parametrize("asked", ["", "from=10&to=20", "from=92&to=112"])
def test_words_do_not_run_into_each_other_and_the_page_does_not_scroll_sideways(
    opened: Any, size: tuple[int, int], asked: str
) -> None:
    page = opened(size, asked)

    words = page.evaluate(_WORDS)
    assert len(words) > 4
    for one, other in combinations(words, 2):
        across = min(one[3], other[3]) - max(one[1], other[1])
        down = min(one[4], other[4]) - max(one[2], other[2])
        # A drawing on a wall is shown larger, and so are its letters.
        letters = max(1.0, (one[4] - one[2]) / 13)
        assert across <= 1 or down <= _AIR * letters, (one, other)
    assert page.evaluate(_WIDER) <= 1


def test_keys_walk_the_stretches_and_tab_follows_the_belt(opened: Any) -> None:
    page = opened(WALL)
    page.locator(".board").focus()

    page.keyboard.press("+")
    page.wait_for_url("**from=*")
    assert stretch_of(page) == (25, 75)
    page.keyboard.press("ArrowRight")
    page.wait_for_url("**from=50&to=100")
    page.keyboard.press("+")
    page.wait_for_url("**from=62.5&to=87.5")
    page.keyboard.press("-")
    page.wait_for_url("**from=50&to=100")
    expect(page.locator(".board")).to_be_focused()
    page.keyboard.press("Escape")
    page.wait_for_url(lambda url: "from" not in url)
    expect(page.locator(".board")).to_be_focused()
    names = []
    for _step in range(6):
        page.keyboard.press("Tab")
        names.append(page.evaluate("document.activeElement.getAttribute('aria-label')"))
    places = page.evaluate(
        """() => [...document.querySelectorAll("svg.loop.wide a")]
        .slice(0, 6).map((one) => one.getAttribute("aria-label"))"""
    )
    assert names == places
    page.go_back()
    page.wait_for_url("**from=*")
    page.wait_for_selector("svg.wide.enlarged")


def test_a_line_drawn_over_the_drawing_shows_that_stretch(opened: Any) -> None:
    page = opened(WALL)
    box = page.locator("svg.loop.wide").bounding_box()
    y = box["y"] + box["height"] - 2

    page.mouse.move(box["x"] + 0.3 * box["width"], y)
    page.mouse.down()
    page.mouse.move(box["x"] + 0.5 * box["width"], y, steps=4)
    page.mouse.up()
    page.wait_for_selector("svg.wide.enlarged")

    from_m, to_m = stretch_of(page) or (0.0, 0.0)
    assert 20 < from_m < 35
    assert 40 < to_m < 55
    expect(page.locator("#id_from")).to_have_value(f"{from_m:g}")


@pytest.mark.slow
def test_two_taps_of_a_finger_show_the_stretch_between_them(opened: Any) -> None:
    page = opened(PHONE, has_touch=True)
    page.wait_for_load_state("load")
    page.locator("svg.loop.narrow").scroll_into_view_if_needed()
    # Measured where it stands now, once nothing moves it any more.
    box = page.locator("svg.loop.narrow").bounding_box()
    xs = [box["x"] + share * box["width"] for share in (0.35, 0.6)]
    y = page.evaluate(_FREE, [xs, box["y"], box["y"] + box["height"]])

    for x in xs:
        page.touchscreen.tap(x, y)
    page.wait_for_selector("svg.narrow.enlarged")

    assert stretch_of(page)


def test_everything_to_be_tapped_on_a_telephone_is_a_finger_wide_or_listed_so(opened: Any) -> None:
    page = opened(PHONE, "from=92&to=112")

    small = page.evaluate(
        """() => [...document.querySelectorAll(
          "#drawing a:not(svg a), .stands-here a," +
          ".drawing-form button, .drawing-form input, .drawing-form select"
        )].filter((one) => one.getClientRects().length).map((one) => {
          const box = one.getBoundingClientRect();
          return [one.textContent.trim() || one.name, box.width, box.height];
        }).filter(([, width, height]) => height < 43.5 || width < 43.5)"""
    )
    assert small == []
    # What stands too close on the drawing for a finger is listed beneath it.
    drawn = page.evaluate(
        """() => [...new Set([...document.querySelectorAll("svg.loop.narrow a")]
          .map((one) => one.getAttribute("href")).filter((one) => one.includes("/components/")))]"""
    )
    listed = page.evaluate(
        """() => [...document.querySelectorAll(".stands-here a")]
          .map((one) => one.getAttribute("href"))"""
    )
    assert drawn
    assert set(drawn) <= set(listed)


def test_without_scripts_the_form_and_the_links_draw_a_stretch(opened: Any) -> None:
    page = opened(PHONE, java_script_enabled=False)

    page.fill("#id_from", "10")
    page.fill("#id_to", "20")
    with page.expect_navigation():
        page.click(".drawing-form button")
    assert stretch_of(page) == (10, 20)
    expect(page.locator("svg.loop.narrow.enlarged")).to_be_visible()
    with page.expect_navigation():
        page.click("text=on along the belt")
    assert stretch_of(page) == (15, 25)


@pytest.mark.slow
def test_printed_the_sheet_holds_the_drawing_and_its_title_block_alone(opened: Any) -> None:
    page = opened(WALL)

    page.emulate_media(media="print")

    expect(page.locator(".title-block").first).to_be_visible()
    expect(page.locator("svg.loop.wide")).to_be_visible()
    for hidden in (".drawing-ways", ".drawing-form", ".heights"):
        expect(page.locator(hidden)).to_be_hidden()
