"""What a walk-down on a phone has besides its stations, in real Chromium."""

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from diagnostics.models import Case, Finding, Photo, Sighting, TimedLook, WalkDown
from plant.models import Conveyor
from tests.browser.pocket.walk import (
    begin,
    kept_at,
    sent,
    serious_faults,
    station,
    tap,
)
from tests.plant.drawn_pictures import drawn, written

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]

# Gloves: no key smaller than this. [px]
LEAST_KEY_PX = 44


def test_nobody_gets_past_the_cautions_unread(page: Page, case: Case):
    page.goto(f"/walk/{case.number}/#/before")

    page.get_by_role("button", name="Go to the first station").tap()

    expect(page.get_by_role("alert")).to_contain_text("Read the cautions and say so")
    expect(page.get_by_label("I have read the cautions")).to_be_focused()
    assert not WalkDown.objects.exists()


def test_a_belt_that_stands_still_is_a_walk_with_its_reason(page: Page, case: Case):
    page.goto(f"/walk/{case.number}/#/before")
    page.get_by_label("I have read the cautions").tap()
    page.get_by_text("The belt stands still").tap()
    page.get_by_label("Because").fill("chute is blocked")
    page.get_by_role("button", name="Keep that it stood still").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Walk-down finished")
    sent(page)

    row = WalkDown.objects.get()
    assert row.stopped_reason == "chute is blocked"
    assert row.finished_at is not None


def test_a_close_look_with_a_photo_is_kept(page: Page, case: Case):
    begin(page, case)
    page.get_by_role("link", name="Close looks").tap()
    page.get_by_label("Find a cause").fill("splice not")
    page.get_by_role("link", name=re.compile("^Splice not")).last.tap()
    # Cautions come before the question.
    expect(page.locator(".caution")).to_contain_text("belt stopped and locked out")
    photo = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": written(drawn())}
    page.get_by_label("Photos").set_input_files([photo])
    expect(page.locator("main canvas")).to_have_count(1)
    page.get_by_label("Note").fill("20 mm out of square")
    page.get_by_role("button", name="Yes, it is there").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Close looks")
    # The answer is what the person sees first.
    expect(page.locator("main h2").first).to_have_text("Looked at closely")
    expect(page.locator(".checks").first).to_contain_text("yes, it is there")
    sent(page)

    row = Finding.objects.get()
    assert (row.is_present, row.note) == (True, "20 mm out of square")
    assert Photo.objects.get().finding == row


def test_a_pass_ends_in_its_summary_and_goes_on_the_other_way(page: Page, case: Case):
    begin(page, case)
    tap(page, "half right")
    page.get_by_role("link", name="Also noticed").tap()
    page.get_by_label("when wet").tap()
    page.get_by_role("button", name="Keep", exact=True).tap()
    page.get_by_role("link", name="Summary").tap()
    expect(page.get_by_text(re.compile(r"^1, of \d+ stops$"))).to_be_visible()
    expect(page.get_by_text("when wet")).to_be_visible()

    page.get_by_role("link", name="Once more, empty").tap()
    page.get_by_label("towards the tail").tap()
    page.get_by_role("button", name="Go to the first station").tap()
    expect(page.get_by_text("stop 1 of")).to_be_visible()
    name = tap(page, "half right")
    page.get_by_role("link", name="Summary").tap()
    page.get_by_role("button", name="Finish the walk-down").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Walk-down finished")
    sent(page)

    row = WalkDown.objects.get()
    assert row.remarks == ["when wet"]
    assert row.finished_at is not None
    assert Sighting.objects.get(station=name, load="empty").side == "left"
    # What the site answers with later changes nothing of it.
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_have_text("Walk-down finished")
    expect(page.get_by_text("Looks: 2")).to_be_visible()


def test_a_reversing_belt_is_asked_which_way_it_runs(page: Page, case: Case):
    Conveyor.objects.update(is_reversing=True)
    begin(page, case, more=["running backwards"])

    first = tap(page, "half right")
    page.get_by_role("button", name="Runs backwards").tap()
    expect(page.get_by_role("button", name="Runs forwards")).to_be_focused()
    second = tap(page, "half right")
    sent(page)

    assert kept_at(first).is_running_backwards
    assert not kept_at(second).is_running_backwards


def test_a_timed_look_is_made_at_its_station(page: Page, case: Case):
    begin(page, case)
    name = station(page)
    page.get_by_role("link", name="Time this station").tap()
    page.get_by_role("button", name="Start the clock").tap()
    page.get_by_role("button", name="Splice passes").tap()
    expect(page.locator("h1")).to_have_count(1)
    assert serious_faults(page) == []
    page.get_by_role("button", name="End", exact=True).tap()
    page.get_by_role("button", name="Keep it").tap()
    expect(page.get_by_role("dialog")).to_have_count(0)
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    sent(page)

    row = TimedLook.objects.get()
    assert (row.station, [event for _at, event in row.taps]) == (name, ["splice"])


def test_the_back_button_leaves_a_timed_look_and_its_taps_stay(page: Page, case: Case):
    begin(page, case)
    name = station(page)
    page.get_by_role("link", name="Time this station").tap()
    page.get_by_role("button", name="Start the clock").tap()
    page.get_by_role("button", name="Splice passes").tap()

    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    expect(page.get_by_role("link", name="Go on timing (taps: 1)")).to_be_visible()
    page.get_by_role("link", name="To the case").tap()

    again = page.get_by_role("link", name=f"Go on with the timed look at {name}")
    expect(again).to_be_visible()
    again.tap()
    expect(page.get_by_role("dialog")).to_be_visible()


def test_taps_left_behind_by_a_finished_walk_are_not_forgotten(page: Page, case: Case):
    begin(page, case)
    name = station(page)
    page.get_by_role("link", name="Time this station").tap()
    page.get_by_role("button", name="Start the clock").tap()
    page.get_by_role("button", name="Splice passes").tap()
    page.go_back()
    page.get_by_role("link", name="Summary").tap()
    expect(page.get_by_role("link", name=f"Go on with the timed look at {name}")).to_be_visible()
    page.get_by_role("button", name="Finish the walk-down").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Walk-down finished")

    page.goto(f"/walk/{case.number}/#/")

    words = f"A timed look at {name} was begun and left (taps: 1)."
    expect(page.get_by_text(words)).to_be_visible()


def test_the_drawing_of_the_loop_is_told_in_words(page: Page, case: Case):
    begin(page, case)
    name = tap(page, "half right")
    page.get_by_role("link", name="Summary").tap()

    told = page.locator("figure.whole figcaption")
    # Pulleys and looks in the order in which the belt passes them.
    expect(told).to_contain_text(re.compile(r"Along the loop: Head pulley, 100\.0\sm; .*Take-up"))
    expect(told).to_contain_text(re.compile(rf"{name}, [\d.]+\sm: half right \(shed side\)"))


SCREENS = ["", "before", "at/1", "mm/left/at/1", "unseen/at/1", "places", "findings/at/5"]
MORE_SCREENS = ["photo/at/1", "noticed", "summary", "how/empty", "finding/splice_not_square/"]


@pytest.mark.parametrize("screens", [SCREENS, MORE_SCREENS], ids=["first", "second"])
def test_no_screen_has_a_serious_fault_or_is_too_wide_or_has_small_keys(
    page: Page, case: Case, screens: list[str]
):
    begin(page, case)
    tap(page, "half right")

    for screen in screens:
        page.goto(f"/walk/{case.number}/#/{screen}")
        heading = page.get_by_role("heading", level=1)
        expect(heading).to_be_focused()
        assert serious_faults(page) == [], screen
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, screen
        assert small_keys(page) == [], screen


def small_keys(page: Page) -> list[Any]:
    found: list[Any] = page.evaluate(
        """least => [...document.querySelectorAll("main button, main a, main summary, header a")]
          .filter(one => one.getClientRects().length)
          .map(one => [one.textContent, one.getBoundingClientRect()])
          .filter(([, box]) => box.width < least || box.height < least)
          .map(([words]) => words)""",
        LEAST_KEY_PX,
    )
    return found


def test_the_list_of_cases_offers_what_is_open_and_keeps_what_is_taken(page: Page, case: Case):
    page.goto("/walk/")
    expect(page.get_by_text("No case is on this phone yet.")).to_be_visible()
    assert serious_faults(page) == []

    page.get_by_role("button", name=f"Take along: {case.number}").tap()
    expect(page.get_by_text("Ready without signal")).to_be_visible()
    expect(page.get_by_text("It rubs its frame near the hopper").last).to_be_visible()
    page.get_by_role("link", name="Cases on this phone").last.tap()

    expect(page.get_by_role("link", name=re.compile("Q30 Quay conveyor"))).to_be_visible()
    expect(page.get_by_text("Every open case of your plants is on this phone.")).to_be_visible()
