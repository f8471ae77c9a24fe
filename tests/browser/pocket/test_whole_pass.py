"""A whole pass along the belt by touch alone, from the case to the finish and the report."""

import re

import pytest
from playwright.sync_api import Page, expect

from diagnostics.models import Case, Sighting, WalkDown
from tests.browser.pocket.walk import begin, key, sent, station, tap

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.slow]


def test_every_stop_is_looked_at_and_the_walk_handed_over_without_a_keyboard(
    page: Page, case: Case, said: list[str]
):
    begin(page, case)
    stops = int(re.search(r"of (\d+)", page.locator(".count").inner_text()).group(1))
    seen = []
    for number in range(1, stops + 1):
        expect(page.get_by_text(f"stop {number} of {stops}")).to_be_visible()
        turn = page.get_by_role("button", name="No, I still face the head")
        expect(key(page, "centred").or_(turn).first).to_be_visible()
        if turn.is_visible():
            turn.tap()
        seen.append(station(page))
        tap(page, "half right" if 10 <= number <= 14 else "centred")
    expect(page.get_by_role("heading", name="Walk-down so far")).to_be_visible()
    page.get_by_role("button", name="Finish the walk-down").tap()
    expect(page.get_by_role("heading", name="Walk-down finished")).to_be_visible()
    sent(page)
    expect(page.get_by_role("link", name="Report as PDF")).to_be_visible()

    order = Sighting.objects.order_by("seen_at", "pk").values_list("station", flat=True)
    assert list(order) == seen
    assert len(set(seen)) == stops
    assert Sighting.objects.filter(degree="half", side="right").count() == 5
    assert WalkDown.objects.get().finished_at is not None
    assert said == []
