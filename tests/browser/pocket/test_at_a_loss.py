"""A walk-down on a phone that lacks something: room, signal, a sign-in, HTTPS."""

import json
import re

import pytest
from django.contrib.auth.models import Group
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from diagnostics.models import Case, Sighting, WalkDown
from plant.models import User
from plant.roles import Role
from tests.browser.pocket.walk import (
    begin,
    kept_at,
    key,
    open_phone,
    sent,
    serious_faults,
    station,
    tap,
)

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]


def test_full_storage_keeps_the_person_where_they_are(page: Page, case: Case):
    begin(page, case)
    name = station(page)
    page.evaluate(
        """() => {
          const put = IDBObjectStore.prototype.put;
          IDBObjectStore.prototype.put = function (...given) {
            if (this.name === "entries") throw new DOMException("full", "QuotaExceededError");
            return put.apply(this, given);
          };
        }"""
    )

    page.get_by_label("steady").tap()
    key(page, "half right").tap()

    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("storage is full")
    expect(alert).to_contain_text(f"{name} half right (shed side)")
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    expect(page.get_by_label("steady")).to_be_checked()
    expect(key(page, "half right")).to_be_enabled()
    assert serious_faults(page) == []


def test_a_table_on_the_phone_ranks_without_signal(page: Page, case: Case):
    begin(page, case)
    sent(page)
    page.context.set_offline(True)
    for words in ("centred", "half right", "half right"):
        tap(page, words)

    panel = page.get_by_role("region", name="Suspected so far")
    expect(panel.locator(".share")).to_have_count(3)
    expect(panel.get_by_text(re.compile("[Nn]ot enough yet|Enough for an answer"))).to_be_visible()
    expect(panel.get_by_text(re.compile(r"^Likeliest: .+ at .+, \d+\s%$"))).to_be_visible()
    expect(page.get_by_text("To be sent: 3", exact=True)).to_be_visible()
    expect(page.get_by_text("no signal")).to_be_visible()
    place = panel.get_by_role("button").inner_text().split(",")[0]
    panel.get_by_role("button").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text(place)


def test_a_table_that_cannot_be_read_is_named(page: Page, case: Case):
    page.route("**/table.bin", lambda route: route.fulfill(body=b"of another version"))

    page.goto(f"/walk/{case.number}/")

    suspected = page.get_by_role("region", name="What is suspected")
    expect(suspected).to_contain_text("The figures for ranking are not on this phone.")


def test_whose_role_may_not_walk_is_told_so(browser: Browser, live_server: LiveServer, case: Case):
    opened = open_phone(browser, live_server.url, case, [], Role.CLERK)
    page = next(opened)

    page.goto(f"/walk/{case.number}/")
    expect(page.get_by_role("main")).to_contain_text("Your role may look at cases but not walk")
    page.get_by_role("link", name="Cases on this phone").last.tap()
    expect(page.get_by_role("main")).to_contain_text("Your role may look at cases but not walk")
    expect(page.get_by_role("button", name="Take along")).to_have_count(0)

    opened.close()


def test_what_was_recorded_before_the_role_changed_stays_with_the_reason(page: Page, case: Case):
    begin(page, case)
    sent(page)
    page.context.set_offline(True)
    tap(page, "half right")
    clerks = Group.objects.filter(name=Role.CLERK.value)
    User.objects.get(groups__name=Role.TECHNICIAN.value).groups.set(clerks)

    page.context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")

    expect(page.locator("#top-line")).to_contain_text("your role may not walk belts")
    expect(page.get_by_text("To be sent: 1", exact=True)).to_be_visible()
    assert not Sighting.objects.exists()


def test_an_expired_sign_in_is_told_with_the_way_back(page: Page, case: Case):
    begin(page, case)
    sent(page)
    page.context.clear_cookies()

    tap(page, "half right")

    link = page.get_by_role("link", name="sign in again")
    expect(link).to_have_attribute("href", re.compile(r"^/sign-in/\?next=%2Fwalk%2F"))
    expect(page.get_by_text("To be sent: 1", exact=True)).to_be_visible()
    assert not Sighting.objects.exists()


def test_a_refused_entry_is_discarded_only_after_asking(page: Page, case: Case):
    begin(page, case)
    tap(page, "half right")
    sent(page)
    # The site has lost the walk, say to an older copy of its database.
    page.context.set_offline(True)
    WalkDown.objects.all().delete()
    name = tap(page, "half left")
    page.context.set_offline(False)
    page.get_by_role("link", name="Summary").tap()
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.get_by_text("To be decided: 1")).to_be_visible()
    page.reload()

    page.get_by_role("button", name=f"Discard: {name}").tap()
    expect(page.get_by_role("alert")).to_contain_text("Discard it for good?")
    assert serious_faults(page) == []
    page.get_by_role("button", name="Keep it here").tap()
    page.get_by_role("button", name=f"Discard: {name}").tap()
    with page.expect_download() as saved:
        page.get_by_role("button", name=f"Save as file: {name}").tap()
    page.get_by_role("button", name="Discard for good").tap()

    expect(page.get_by_text("Refused by the site")).to_have_count(0)
    body = json.loads(saved.value.path().read_text())["body"]
    assert (body["station"], body["degree"], body["side"]) == (name, "half", "left")


def test_without_https_the_page_says_what_is_missing_and_works(page: Page, case: Case):
    # As a browser has it on an address without HTTPS.
    page.add_init_script("delete Navigator.prototype.serviceWorker")
    page.goto("/walk/")
    expect(page.get_by_role("note")).to_contain_text("cannot be opened again without signal")
    assert serious_faults(page) == []

    begin(page, case)
    name = tap(page, "half right")
    sent(page)

    assert kept_at(name).degree == "half"


def test_without_scripts_the_page_leads_to_the_pages(browser: Browser, live_server: LiveServer):
    bare = browser.new_context(base_url=live_server.url, java_script_enabled=False).new_page()
    bare.goto("/walk/LT-C-0001/")

    link = bare.get_by_role("link", name="Walk down page by page instead")
    expect(link).to_have_attribute("href", "/cases/")
