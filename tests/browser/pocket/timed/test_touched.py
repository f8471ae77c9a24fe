"""The timed look of the phone, touched on a telephone of 360 px: taps, verdicts, words."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import (
    ConsoleMessage,
    Page,
    expect,
)

from diagnostics.pocket_timed_words import TIMED_WORDS
from tests.browser.pocket import timed_bench
from tests.browser.pocket.timed_screen import (
    KEY_PX,
    KIT,
    LEAST_PX,
    PHONE,
    PLACE,
    kept,
    open_look,
    tap_turns,
    touch,
    verdict,
    wait,
)

pytestmark = [pytest.mark.slow, pytest.mark.browser]


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
    open_look(page, KIT | {"conveyor": KIT["conveyor"] | bare})
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
