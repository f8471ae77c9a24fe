"""The timed look open on a telephone of 360 px, and thumbs on it."""

from datetime import UTC, datetime
from typing import Any

from playwright.sync_api import (
    BrowserContext,
    Page,
    expect,
)

from tests.browser.pocket import timed_bench

PHONE = {"width": 360, "height": 740}
TEN = datetime(2026, 11, 28, 10, tzinfo=UTC)
# Gloves: the four keys, and any other. [px]
KEY_PX, LEAST_PX = 72, 44
KIT = {
    "case": {"number": "LT-1"},
    "person": {"key": "7", "name": "Ines Varga"},
    # Once round in 60 s.
    "conveyor": {
        "tag": "CV-3",
        "left_words": "sea side",
        "right_words": "walkway side",
        "belt_length_m": 120.0,
        "speed_mps": 2.0,
        "turn_s": 60.0,
        "splices_m": [0.0, 55.0],
    },
    "cautions": ["Stay outside the guards.", "Never reach to a running belt."],
}
STORES_NOTHING = """() => {
    Storage.prototype.setItem = () => { throw new Error("full"); };
    IDBObjectStore.prototype.put = () => { throw new Error("full"); };
}"""
PLACE = {"station": "R5", "run": "return", "position_m": 80.0}


def a_page(context: BrowserContext, after_s: float = 0) -> Page:
    """So much later; the clock is that of the phone, not of the page."""
    page = context.new_page()
    page.goto(timed_bench.ADDRESS)
    if after_s:
        wait(page, after_s)
    return page


def open_look(page: Page, kit: dict[str, Any] | None = None, **options: Any) -> None:
    """What is kept is laid aside in the page; `refuses` lets keeping fail once."""
    chosen = {"load": "loaded", "facing": "head", "cautionsRead": True} | options
    code = """
        let refuses = given.refuses === true;
        window.kept = [];
        the.openTimedLook(document.getElementById("root"), given, {
            onKeep: async (body, more) => {
                if (refuses) { refuses = false; throw new Error("The phone is full."); }
                window.kept.push([body, more]);
            },
            onCancel: () => { window.cancelled = true; },
        });
    """
    given = {"kit": kit or KIT, "place": PLACE, **chosen}
    timed_bench.call(page, "timed_look.js", code, given)


def touch(page: Page, name: str) -> None:
    page.get_by_role("button", name=name).tap()


def wait(page: Page, seconds: float) -> None:
    page.clock.run_for(round(seconds * 1000))


def tap_turns(page: Page, turns: int, side: str = "Over to the left") -> None:
    """Over at 10 s of each turn and back at 12 s; the splice passes at 20 s."""
    for _turn in range(turns):
        wait(page, 10)
        touch(page, side)
        wait(page, 2)
        touch(page, "Comes back")
        wait(page, 8)
        touch(page, "Splice passes")
        wait(page, 40)


def kept(page: Page) -> list[Any]:
    page.wait_for_function("() => window.kept.length > 0")
    rows: list[Any] = page.evaluate("window.kept")
    return rows


def verdict(page: Page) -> Any:
    return expect(page.locator(".verdict"))
