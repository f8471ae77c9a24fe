"""Whatever was recorded on the phone is taken back there, before and after the site has it."""

import re

import pytest
from playwright.sync_api import Page, expect

from diagnostics.models import Case, Finding, Photo, TimedLook, WalkDown
from tests.browser.pocket.walk import (
    begin,
    sent,
    serious_faults,
    tap,
)
from tests.plant.drawn_pictures import drawn, written

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]


def add_photo(page: Page) -> None:
    page.get_by_role("link", name="Photo", exact=True).tap()
    photo = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": written(drawn())}
    page.get_by_label("Photos").set_input_files([photo])
    page.get_by_role("button", name="Keep the photos").tap()
    expect(page.get_by_text("stop 1 of")).to_be_visible()


def test_a_close_look_is_taken_back_and_counts_again(page: Page, case: Case):
    begin(page, case)
    sent(page)
    page.context.set_offline(True)
    page.get_by_role("link", name="Close looks").tap()
    page.get_by_label("Find a cause").fill("splice not")
    page.get_by_role("link", name=re.compile("^Splice not")).last.tap()
    page.get_by_role("button", name="Yes, it is there").tap()
    page.get_by_role("button", name=re.compile("^Take back Splice not")).tap()

    again = page.get_by_role("button", name=re.compile("^Count again Splice not"))
    expect(again).to_be_focused()
    assert serious_faults(page) == []
    page.context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    sent(page)
    assert Finding.objects.get().taken_back_at is not None

    # The site tells of those that count only; the phone still knows its own.
    page.goto(f"/walk/{case.number}/")
    page.reload()
    expect(page.get_by_role("link", name="Close looks")).to_be_visible()
    page.get_by_role("button", name="Fetch anew").tap()
    page.get_by_role("link", name="Close looks").tap()
    again.tap()
    expect(page.get_by_role("button", name=re.compile("^Take back Splice not"))).to_be_visible()
    sent(page)
    assert Finding.objects.get().taken_back_at is None


def test_photos_and_timed_looks_are_taken_back_at_the_end(page: Page, case: Case):
    begin(page, case)
    add_photo(page)
    page.get_by_role("link", name="Time this station").tap()
    page.get_by_role("button", name="Start the clock").tap()
    page.get_by_role("button", name="Splice passes").tap()
    page.get_by_role("button", name="End", exact=True).tap()
    page.get_by_role("button", name="Keep it").tap()
    page.get_by_role("link", name="Summary").tap()
    sent(page)
    # As the phone is after the site has told of them.
    page.reload()
    photos = page.locator(".figures > div").filter(has_text="Photos")
    expect(photos).to_contain_text("1")

    page.get_by_role("button", name="Take back photo 1").tap()
    expect(page.get_by_role("button", name="Count again photo 1")).to_be_visible()
    expect(photos).to_have_count(0)
    page.get_by_role("button", name=re.compile("^Take back Timed look at")).tap()
    expect(page.get_by_role("button", name=re.compile("^Count again Timed look"))).to_be_visible()
    sent(page)

    assert Photo.objects.get().taken_back_at is not None
    assert TimedLook.objects.get().taken_back_at is not None
    page.get_by_role("button", name="Count again photo 1").tap()
    expect(photos).to_contain_text("1")
    sent(page)
    assert Photo.objects.get().taken_back_at is None


COUNTED = """async ([photoIds, entries]) => {
    const { walkState } = await import("/static/diagnostics/pocket/walk_state.js");
    const kit = { person: { key: "1" }, looks: [], findings: [], photo_ids: photoIds };
    return walkState(kit, entries).photos;
}"""


def test_a_photo_is_counted_once_whichever_news_came_first(page: Page, case: Case):
    page.goto(f"/walk/{case.number}/")
    photo = {"kind": "photo", "id": "p", "person": "1", "body": {}}
    away = {"kind": "count", "id": "c", "body": {"photo": "p", "counts": False}}
    # The site may tell of a photo before, or not until after, the phone knows that it was sent.
    orders: list[tuple[list[str], str, str | None, int]] = [
        (["p", "other"], "kept", None, 2),
        (["p", "other"], "told", None, 2),
        (["other"], "waiting", None, 2),
        (["p", "other"], "kept", "waiting", 1),
        (["other"], "told", "kept", 1),
        (["other"], "told", "told", 1),
    ]
    for told, photo_state, away_state, count in orders:
        entries = [{**photo, "state": photo_state}, *_with_state(away, away_state)]

        assert page.evaluate(COUNTED, [told, entries]) == count, (told, photo_state, away_state)


def _with_state(entry: dict[str, object], state: str | None) -> list[dict[str, object]]:
    return [{**entry, "state": state}] if state else []


@pytest.mark.parametrize("signal", [True, False], ids=["with signal", "without signal"])
def test_a_finished_walk_goes_on_as_it_was(page: Page, case: Case, signal: bool):
    begin(page, case, facing="towards the tail")
    page.get_by_role("link", name="Also noticed").tap()
    page.get_by_label("when wet").tap()
    page.get_by_role("button", name="Keep", exact=True).tap()
    page.get_by_role("button", name="Belt loaded").tap()
    tap(page, "half right")
    page.get_by_role("link", name="Summary").tap()
    sent(page)
    page.context.set_offline(not signal)
    page.get_by_role("button", name="Finish the walk-down").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Walk-down finished")
    if signal:
        sent(page)
        page.reload()

    page.get_by_role("button", name="Not finished after all: go on").tap()

    expect(page.get_by_role("button", name="You face the tail")).to_be_visible()
    expect(page.get_by_role("button", name="Belt empty")).to_be_visible()
    tap(page, "half left")
    page.context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    sent(page)
    row = WalkDown.objects.get()
    assert (row.finished_at, row.facing, row.load) == (None, "tail", "empty")
    assert row.remarks == ["when wet"]
