"""Notes from the field on a phone that took them along."""

import pytest
from playwright.sync_api import Page, expect

from diagnostics.models import Case
from tests.browser.pocket.walk import begin, go_to, serious_faults
from tests.diagnostics.note_rows import write

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]


def test_the_next_one_reads_what_was_noted_at_a_station_and_on_a_cause(
    page: Page, case: Case, said: list[str]
):
    write(case, "Hanger slips: check its bolt.", component="R", photos=2)
    write(case, "Take the string, not the eye.", cause="belt_camber")

    begin(page, case)
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    expect(page.get_by_text("Hanger slips")).to_have_count(0)
    go_to(page, "R1")

    expect(page.get_by_text("Hanger slips: check its bolt.")).to_be_visible()
    expect(page.get_by_text("photos on the site: 2")).to_be_visible()
    assert serious_faults(page) == []
    page.goto(f"/walk/{case.number}/#/finding/belt_camber")
    expect(page.get_by_text("Take the string, not the eye.")).to_be_visible()
    assert said == []
