"""A timed look on a phone that dies, sleeps, stores nothing or is left: no tap is lost."""

import contextlib
import os
import re
import signal
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import (
    BrowserContext,
    BrowserType,
    Error,
    Page,
    expect,
)

from tests.browser.pocket import timed_bench
from tests.browser.pocket.timed_screen import (
    KIT,
    PLACE,
    STORES_NOTHING,
    a_page,
    kept,
    open_look,
    touch,
    wait,
)

pytestmark = [pytest.mark.slow, pytest.mark.browser]


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
