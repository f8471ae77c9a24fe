"""The stations of a walk-down on a phone in real Chromium: touch only, one after another."""

import re

import pytest
from playwright.sync_api import Page, expect

from diagnostics.models import Case, Sighting
from tests.browser.pocket.walk import (
    begin,
    go_to,
    hold,
    kept_at,
    key,
    sent,
    station,
    tap,
)

pytestmark = [
    pytest.mark.slow,
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
]


def test_a_pass_by_touch_alone_keeps_every_look(page: Page, case: Case, said: list[str]):
    begin(page, case)

    first = tap(page, "centred")
    page.get_by_label("steady").tap()
    second = tap(page, "half right")
    third = tap(page, "hard over left")
    sent(page)

    looks = [kept_at(name) for name in (first, second, third)]
    assert [(one.degree, one.side) for one in looks] == [
        ("centred", ""),
        ("half", "right"),
        ("hard-over", "left"),
    ]
    # What was said before a tap counts for that tap only.
    assert [one.persistence for one in looks] == ["", "steady", ""]
    assert {one.load for one in looks} == {"loaded"}
    assert said == []


def test_one_who_turned_round_is_kept_in_the_sides_of_the_register(page: Page, case: Case):
    begin(page, case)
    go_to(page, "Head pulley")
    tap(page, "half right")
    # Asked before anything can be tapped on the way back.
    expect(key(page, "centred")).to_have_count(0)
    page.get_by_role("button", name="Yes, I face the tail now").tap()

    columns = page.locator(".degrees .side")
    expect(columns.first).to_contain_text("left")
    expect(columns.first).to_contain_text("shed side")
    expect(columns.last).to_contain_text("sea side")
    name = station(page)
    key(page, "half left").tap()
    expect(page.get_by_text(f"Kept: {name} half left (shed side)").last).to_be_visible()
    sent(page)

    assert kept_at("Head pulley").side == "right"
    assert kept_at(name).run == "return"
    assert kept_at(name).side == "right"


def test_facing_the_tail_turns_the_sides_on_the_carrying_run_too(page: Page, case: Case):
    begin(page, case, facing="towards the tail")
    go_to(page, "C17")

    tap(page, "a little left")
    sent(page)

    assert (kept_at("C17").degree, kept_at("C17").side) == ("slight", "right")


def test_who_stays_facing_the_head_is_asked_once(page: Page, case: Case):
    begin(page, case)
    go_to(page, "Head pulley")
    tap(page, "centred")
    page.get_by_role("button", name="No, I still face the head").tap()
    tap(page, "half left")
    page.get_by_role("link", name="Back").tap()

    expect(key(page, "centred")).to_be_visible()
    sent(page)
    assert Sighting.objects.get(degree="half").side == "left"


def test_who_answered_at_the_turn_is_not_asked_again_by_a_page_loaded_anew(page: Page, case: Case):
    begin(page, case)
    go_to(page, "Head pulley")
    page.get_by_role("link", name="Skip").tap()
    page.get_by_role("button", name="No, I still face the head").tap()
    expect(key(page, "centred")).to_be_visible()
    name = station(page)

    page.reload()

    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    expect(key(page, "centred")).to_be_visible()
    expect(page.get_by_text("Do you turn round")).to_have_count(0)


def test_who_comes_to_the_return_run_by_another_way_is_asked_too(page: Page, case: Case):
    begin(page, case)
    page.get_by_role("link", name="All stops").tap()
    page.get_by_role("link", name=re.compile("^Bend 1 ")).tap()

    page.get_by_role("button", name="Yes, I face the tail now").tap()
    tap(page, "half left")
    sent(page)

    assert kept_at("Bend 1").side == "right"


def test_a_long_press_asks_for_millimetres_of_that_side(page: Page, case: Case):
    begin(page, case, facing="towards the tail")
    name = station(page)

    hold(page, "half left")
    expect(page.get_by_role("heading", level=1)).to_have_text(f"{name}: left (shed side)")
    for digit in "45":
        page.get_by_role("button", name=digit, exact=True).tap()
    page.get_by_role("button", name="Keep", exact=True).tap()
    expect(page.get_by_text(f"Kept: {name} 45 mm left (shed side)").last).to_be_visible()
    sent(page)

    row = kept_at(name)
    assert (row.offset_mm, row.degree) == (45.0, "")


def test_millimetres_are_typed_without_a_long_press(page: Page, case: Case):
    begin(page, case)
    name = station(page)

    key(page, "mm or in left").focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="1", exact=True).focus()
    page.keyboard.type("305")
    page.keyboard.press("Backspace")
    expect(page.get_by_text("30 mm")).to_be_visible()
    page.get_by_role("button", name="Keep", exact=True).press("Enter")
    expect(page.get_by_text(f"Kept: {name} 30 mm left").last).to_be_visible()
    sent(page)

    assert kept_at(name).offset_mm == -30.0


def test_inches_are_typed_and_millimetres_are_kept(page: Page, case: Case):
    begin(page, case)
    name = station(page)
    key(page, "mm or in right").tap()
    page.get_by_role("button", name="in inches").tap()

    for digit in "1.25":
        words = "Decimal point" if digit == "." else digit
        page.get_by_role("button", name=words, exact=True).tap()
    # One inch is 25.4 mm.
    expect(page.locator(".pad-figure")).to_have_text(re.compile(r"1\.25\s*in = 32\s*mm"))
    page.get_by_role("button", name="Keep", exact=True).tap()
    expect(page.get_by_text(f"Kept: {name} 32 mm right").last).to_be_visible()
    sent(page)

    assert kept_at(name).offset_mm == pytest.approx(31.75, abs=0.051)
    # Whoever measures in inches does so at the next station too.
    key(page, "mm or in left").tap()
    expect(page.locator(".pad-figure")).to_contain_text("0 in")
    keep = page.get_by_role("button", name="Keep", exact=True).bounding_box()
    assert keep is not None
    assert keep["y"] + keep["height"] <= 740


def test_a_look_beyond_the_clearance_is_asked_about(page: Page, case: Case):
    begin(page, case)
    key(page, "mm or in right").tap()
    for digit in "999":
        page.get_by_role("button", name=digit, exact=True).tap()

    page.get_by_role("button", name="Keep", exact=True).tap()

    expect(page.get_by_text("beyond the edge clearance; is it right?").first).to_be_visible()


def test_undo_takes_the_look_back_and_returns_to_its_station(page: Page, case: Case):
    begin(page, case)
    name = tap(page, "half right")

    page.get_by_role("button", name="Undo").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    expect(page.get_by_text(f"Taken back: {name}").last).to_be_visible()
    tap(page, "half left")
    sent(page)

    assert kept_at(name).side == "left"
    assert Sighting.objects.filter(station=name).count() == 2


def test_two_quick_taps_keep_one_look(page: Page, case: Case):
    begin(page, case)
    name = station(page)
    box = key(page, "half right").bounding_box()
    assert box is not None

    for _tap in range(2):
        page.touchscreen.tap(box["x"] + 40, box["y"] + 20)
    expect(page.get_by_text(f"Kept: {name}").last).to_be_visible()
    page.touchscreen.tap(box["x"] + 40, box["y"] + 20)
    sent(page)

    assert list(Sighting.objects.values_list("station", flat=True)) == [name]


def test_the_second_half_of_a_double_tap_presses_nothing_at_the_end(page: Page, case: Case):
    begin(page, case)
    page.get_by_role("link", name="All stops").tap()
    page.locator(".stops a").last.tap()
    page.get_by_role("button", name="No, I still face the head").tap()
    page.evaluate(
        """() => {
          const main = document.querySelector("main");
          const isReached = (one) => {
            const { x, y, width, height } = one.getBoundingClientRect();
            return one.contains(document.elementFromPoint(x + width / 2, y + height / 2));
          };
          new MutationObserver(() => {
            const first = main.querySelector("button.first");
            if (first) window.reachedAtOnce = isReached(first);
          }).observe(main, { childList: true });
        }"""
    )

    key(page, "half right").tap()
    finish = page.get_by_role("button", name="Finish the walk-down")
    expect(finish).to_be_visible()
    assert page.evaluate("window.reachedAtOnce") is False
    finish.tap()

    expect(page.get_by_role("heading", level=1)).to_have_text("Walk-down finished")


def test_skip_and_back_and_the_phones_own_back_button(page: Page, case: Case):
    begin(page, case)
    first = station(page)

    page.get_by_role("link", name="Skip").tap()
    expect(page.get_by_text("stop 2 of")).to_be_visible()
    page.get_by_role("link", name="Skip").tap()
    expect(page.get_by_text("stop 3 of")).to_be_visible()
    page.get_by_role("link", name="Back").tap()
    expect(page.get_by_text("stop 2 of")).to_be_visible()
    page.go_back()
    expect(page.get_by_text("stop 3 of")).to_be_visible()
    page.go_back()
    page.go_back()

    expect(page.get_by_role("heading", level=1)).to_have_text(first)
    assert not Sighting.objects.exists()


def test_another_place_is_found_by_name_and_by_position(page: Page, case: Case):
    begin(page, case)
    page.get_by_role("link", name="All stops").tap()
    page.get_by_label("Station").fill("Hed pulley")
    page.get_by_role("button", name="Go there").first.tap()
    expect(page.get_by_text("No station is called “Hed pulley”.")).to_be_visible()
    page.locator(".like").get_by_role("link", name="Head pulley").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Head pulley")

    page.get_by_role("link", name="All stops").tap()
    page.get_by_label("Loop position in m").fill("56,2")
    page.get_by_role("button", name="Go to this loop position").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("56.2 m")
    tap(page, "half left")
    sent(page)

    row = kept_at("56.2 m")
    assert (row.run, row.position_m) == ("carrying", 56.2)


def test_a_station_that_cannot_be_seen_is_kept_with_its_reason(page: Page, case: Case):
    begin(page, case)
    name = station(page)

    page.get_by_role("link", name="Not reachable").tap()
    page.get_by_role("button", name="too high").tap()
    expect(page.get_by_text(f"Kept: {name} not reachable: too high").last).to_be_visible()
    sent(page)

    assert kept_at(name).not_seen_reason == "too high"
