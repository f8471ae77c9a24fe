"""The timed look of the phone, touched on a telephone of 360 px: taps, verdicts, a dead page."""

import contextlib
import os
import re
import signal
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import (
    Browser,
    BrowserContext,
    BrowserType,
    ConsoleMessage,
    Error,
    Page,
    expect,
)

from diagnostics.pocket_timed_words import TIMED_WORDS
from tests.browser.pocket import timed_bench

pytestmark = pytest.mark.browser

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


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)  # type: ignore[arg-type]
    context.clock.install(time=TEN)
    # Else it runs on by itself beside what the tests let it run, and a slow machine is late.
    context.clock.pause_at(TEN + timedelta(seconds=1))
    timed_bench.answer_from_disk(context)
    yield context
    context.close()


@pytest.fixture
def page(context: BrowserContext) -> Page:
    return a_page(context)


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


def test_a_look_made_by_touch_alone_gives_its_entry(page: Page):
    open_look(page)
    touch(page, "Start the clock")
    tap_turns(page, 4)

    expect(page.locator(".time")).to_have_text("4:00.0")
    expect(page.locator(".count")).to_have_text("4.0")
    touch(page, "End")
    page.get_by_label("note").fill("hit by rain")
    touch(page, "Keep it")

    ((body, more),) = kept(page)
    taps = body.pop("taps")
    assert [event for _, event in taps] == ["over-left", "back", "splice"] * 4
    assert [at for at, _ in taps][:3] == pytest.approx([10, 12, 20], abs=0.2)
    assert body.pop("duration_s") == pytest.approx(240, abs=0.2)
    assert body == PLACE | {
        "load": "loaded",
        "is_running_backwards": False,
        "note": "hit by rain",
        "cautions_read": True,
    }
    # 9 s before the splice at 2 m/s.
    assert more["reading"]["travel"]["belt_position_m"] == pytest.approx(18, abs=0.5)
    expect(page.locator("dialog")).to_have_count(0)


def test_it_says_how_much_longer_to_watch(page: Page):
    open_look(page)
    touch(page, "Start the clock")
    verdict(page).to_contain_text("Keep watching: at most 3 more turns")
    tap_turns(page, 2)
    wait(page, 5)

    verdict(page).to_contain_text("Keep watching: one more turn")


def test_it_says_when_it_is_enough_because_it_comes_round(page: Page):
    open_look(page)
    touch(page, "Start the clock")
    tap_turns(page, 4)

    verdict(page).to_contain_text("Enough: it comes round with the belt")
    verdict(page).to_contain_text("m ahead of the reference splice")


def test_it_says_when_it_is_enough_because_nothing_comes_round(page: Page):
    open_look(page)
    touch(page, "Start the clock")
    wait(page, 190)

    verdict(page).to_contain_text("Enough: it is fixed in place")


def test_without_the_register_nothing_is_judged_but_taps_are_kept(page: Page):
    bare = {"belt_length_m": None, "turn_s": None, "splices_m": []}
    open_look(page, KIT | {"conveyor": KIT["conveyor"] | bare})  # type: ignore[operator]
    touch(page, "Start the clock")
    wait(page, 5)
    touch(page, "Over to the right")

    verdict(page).to_contain_text("nothing is judged here")
    touch(page, "End")
    touch(page, "Keep it")
    assert kept(page)[0][0]["taps"][0][1] == "over-right"


def test_facing_the_tail_flips_the_sides_and_nothing_else(page: Page):
    open_look(page, facing="tail", isRunningBackwards=True)
    touch(page, "Start the clock")
    expect(page.get_by_role("button", name="Over to the left")).to_contain_text("walkway side")
    wait(page, 3)
    touch(page, "Over to the left")
    wait(page, 3)
    touch(page, "Comes back")
    expect(page.locator(".fold .mark-left")).to_have_count(1)
    touch(page, "End")
    touch(page, "Keep it")

    body = kept(page)[0][0]
    assert [event for _, event in body["taps"]] == ["over-right", "back"]
    assert body["is_running_backwards"] is True


def test_a_page_that_dies_loses_no_tap_and_is_gone_on_with(page: Page, context: BrowserContext):
    open_look(page)
    touch(page, "Start the clock")
    wait(page, 10)
    touch(page, "Over to the left")
    wait(page, 2)
    touch(page, "Comes back")
    kill(page)

    again = a_page(context, after_s=28)
    open_look(again, load="empty")
    expect(again.get_by_text("with 2 taps")).to_be_visible()
    expect(again.get_by_text("Nobody has tapped for 0:28.0")).to_be_visible()
    expect(again.get_by_text("belt loaded")).to_be_visible()
    touch(again, "Go on watching")
    touch(again, "Splice passes")
    touch(again, "End")
    touch(again, "Keep it")

    body = kept(again)[0][0]
    assert [event for _, event in body["taps"]] == ["over-left", "back", "splice"]
    over_s, back_s, splice_s = (at for at, _ in body["taps"])
    assert (over_s, back_s) == pytest.approx((10, 12), abs=0.2)
    # The wall clock bridged what the page did not live: 12 s and 28 s.
    assert splice_s == pytest.approx(40, abs=0.2)
    assert body["load"] == "loaded"


def kill(page: Page) -> None:
    """The page dies at once, without being told."""
    with page.expect_event("crash"), contextlib.suppress(Error):
        page.goto("chrome://crash")
    page.close()


def test_a_browser_that_is_killed_loses_no_tap(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], tmp_path: Path
):
    """The local storage alone would: it reaches the disk only seconds later."""
    with restarted(browser_type, browser_type_launch_args, tmp_path) as context:
        page = a_page(context)
        open_look(page)
        touch(page, "Start the clock")
        for _number in range(3):
            touch(page, "Over to the left")
        page.wait_for_timeout(200)
        kill_browser(tmp_path)

    with restarted(browser_type, browser_type_launch_args, tmp_path) as context:
        again = a_page(context)
        open_look(again)
        expect(again.get_by_text("with 3 taps")).to_be_visible()


@contextlib.contextmanager
def restarted(
    browser_type: BrowserType, arguments: dict[str, Any], folder: Path
) -> Iterator[BrowserContext]:
    context = browser_type.launch_persistent_context(folder, has_touch=True, **arguments)
    timed_bench.answer_from_disk(context)
    yield context
    with contextlib.suppress(Error):
        context.close()


def kill_browser(folder: Path) -> None:
    """The one that stores in this folder, with no time to write anything."""
    running = subprocess.run(["ps", "-eo", "pid,args"], capture_output=True, text=True, check=True)
    for line in running.stdout.splitlines():
        pid, _, command = line.strip().partition(" ")
        if f"--user-data-dir={folder}" in command and "--type=" not in command:
            os.kill(int(pid), signal.SIGKILL)


def test_a_look_that_was_left_is_ended_where_it_was_left(page: Page, context: BrowserContext):
    open_look(page)
    touch(page, "Start the clock")
    wait(page, 30)
    touch(page, "Over to the right")
    kill(page)

    again = a_page(context, after_s=4000)
    open_look(again)
    touch(again, "End it there")
    touch(again, "Keep it")

    body, more = kept(again)[0]
    assert body["duration_s"] == pytest.approx(30, abs=0.2)
    assert re.fullmatch(r"[0-9a-f-]{36}", more["id"])
    open_look(again)
    expect(again.get_by_role("button", name="Start the clock")).to_be_visible()


def test_another_person_or_station_is_not_shown_what_was_left(page: Page):
    open_look(page)
    touch(page, "Start the clock")
    wait(page, 3)
    touch(page, "Over to the right")
    page.reload()

    open_look(page, KIT | {"person": {"key": "8", "name": "Ole Brandt"}})
    expect(page.get_by_role("button", name="Start the clock")).to_be_visible()
    touch(page, "Close")
    left = timed_bench.call(page, "draft.js", "return the.unfinishedTimedLooks(given);", KIT)
    assert left == [{"place": PLACE, "taps": 1}]


def test_what_could_not_be_kept_is_still_there(page: Page):
    open_look(page, refuses=True)
    touch(page, "Start the clock")
    wait(page, 5)
    touch(page, "Over to the left")
    touch(page, "End")
    touch(page, "Keep it")

    expect(page.get_by_text("The phone is full.")).to_be_visible()
    touch(page, "Keep it")
    assert len(kept(page)[0][0]["taps"]) == 1


def test_throwing_away_is_asked_twice_and_leaves_nothing(page: Page):
    open_look(page)
    touch(page, "Start the clock")
    wait(page, 5)
    touch(page, "Over to the left")
    touch(page, "End")
    touch(page, "Throw away")
    touch(page, "No")
    touch(page, "Throw away")
    touch(page, "Yes, throw away")

    page.wait_for_function("() => window.cancelled === true")
    assert page.evaluate("window.kept") == []
    open_look(page)
    expect(page.get_by_role("button", name="Start the clock")).to_be_visible()


def test_the_last_tap_is_undone_and_watching_goes_on_after_an_end(page: Page):
    open_look(page)
    touch(page, "Start the clock")
    wait(page, 5)
    touch(page, "Over to the left")
    wait(page, 1)
    touch(page, "Over to the right")
    touch(page, "Undo last")
    expect(page.locator(".last-tap")).to_contain_text("Taken away: Over to the right, 0:06.0.")
    touch(page, "End")
    touch(page, "Go on watching")
    wait(page, 3)
    touch(page, "Comes back")
    touch(page, "End")
    touch(page, "Keep it")

    body = kept(page)[0][0]
    assert [event for _, event in body["taps"]] == ["over-left", "back"]
    assert body["duration_s"] >= body["taps"][1][0] >= 9


def test_cautions_come_first_unless_they_were_read(page: Page):
    open_look(page, cautionsRead=False)
    expect(page.get_by_text("Stay outside the guards.")).to_be_visible()
    expect(page.get_by_role("button", name="Start the clock")).to_have_count(0)

    touch(page, "I have read them and keep to them")

    expect(page.get_by_role("button", name="Start the clock")).to_be_visible()


def test_a_phone_that_stores_nothing_says_so_and_still_keeps(page: Page):
    page.evaluate(STORES_NOTHING)
    open_look(page)
    touch(page, "Start the clock")
    wait(page, 3)

    expect(page.locator(".last-tap")).to_contain_text("This phone stores nothing now")
    touch(page, "Over to the left")
    touch(page, "End")
    touch(page, "Keep it")
    assert len(kept(page)[0][0]["taps"]) == 1


def test_a_phone_that_slept_has_watched_all_the_same(page: Page):
    """performance.now() stands still in sleep on some phones; the wall clock tells."""
    code = """
        let now = 0, wall = 1000000;
        const clock = the.watchClock(0, null, { now: () => now, wall: () => wall });
        now += 5000; wall += 5000; clock.hide();
        now += 100; wall += 30000; clock.show();
        const slept = clock.elapsed();
        clock.hide(); wall -= 3600000; now += 1000; clock.show();
        return [slept, clock.elapsed()];
    """
    slept, set_back = timed_bench.call(page, "watch_clock.js", code)

    assert slept == pytest.approx(35)
    # A wall clock that was set back meanwhile changes nothing.
    assert set_back == pytest.approx(36)


def test_every_word_can_be_translated(page: Page):
    english = timed_bench.call(page, "words.js", "return the.timedWords;")

    assert english == {key: str(words) for key, words in TIMED_WORDS.items()}


def test_other_words_are_said(page: Page):
    open_look(page, words={"start": "Zegar start", "verdict_watch": "Patrz dalej: {turns}"})
    touch(page, "Zegar start")

    verdict(page).to_have_text("Patrz dalej: 3")


def test_keys_fit_gloves_and_the_screen(page: Page):
    open_look(page)
    touch(page, "Start the clock")
    tap_turns(page, 3)

    boxes = {one.inner_text(): one.bounding_box() for one in page.locator(".keys button").all()}
    assert len(boxes) == 6
    for box in boxes.values():
        assert box
        assert min(box["width"], box["height"]) >= LEAST_PX
        assert box["y"] + box["height"] <= PHONE["height"]
    keys = [one.bounding_box() for one in page.locator(".keys .key").all()]
    assert all(box and min(box["width"], box["height"]) >= KEY_PX for box in keys)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_screen_of_it_keeps_anybody_out(scheme: Any, page: Page):
    said: list[str] = []
    # Its judge waits for timers.
    page.clock.resume()
    page.on("console", lambda one: _note(one, said))
    page.emulate_media(color_scheme=scheme)
    open_look(page, cautionsRead=False)
    said += keeping_out(page)
    touch(page, "I have read them and keep to them")
    said += keeping_out(page)
    touch(page, "Start the clock")
    tap_turns(page, 3)
    said += keeping_out(page)
    touch(page, "End")
    touch(page, "Throw away")
    said += keeping_out(page)

    assert not said, "\n".join(said)


def test_the_fold_is_told_in_words_as_well(page: Page):
    open_look(page)
    touch(page, "Start the clock")
    tap_turns(page, 2)

    label = page.locator(".fold").get_attribute("aria-label") or ""
    assert "Turn 1: Over to the left at 1" in label
    assert "Turn 2: Over to the left at 1" in label
    assert "Splice passes at 3" in label


def keeping_out(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in found]


def _note(message: ConsoleMessage, said: list[str]) -> None:
    if message.type in {"error", "warning"}:
        said.append(message.text)
