"""A list is sent in, looked at and taken in on a telephone, and a long one shows how far it is."""

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from plant.models import Conveyor, Plant
from plant.roles import Role
from plant.services import importing
from tests.browser.test_every_sheet import PHONE, session_of
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
_WIDER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
_HEADER = "Tag;Name;Belt speed;Centre distance\n"


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def page(browser: Browser, live_server: LiveServer, plant: Plant) -> Page:
    client: Client = signed_in(make_person(Role.LEAD, plants=[plant]))
    context = browser.new_context(base_url=live_server.url, viewport=PHONE)
    context.add_cookies([session_of(client, live_server)])
    return context.new_page()


def _send(page: Page, path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")
    page.goto("/conveyors/")
    page.get_by_role("link", name="Lists in and out").click()
    page.get_by_label("file", exact=True).set_input_files(path)
    page.get_by_role("button", name="Read the file").click()


def test_a_list_is_looked_at_and_taken_in_on_a_telephone(page: Page, plant: Plant, tmp_path: Path):
    make_complete_conveyor(plant, tag="CV-1", name="Quay", speed_mps=2.5)
    _send(page, tmp_path / "list.csv", f"{_HEADER}CV-1;Quay;3,1;100\nCV-2;{'Long ' * 20};2;100\n")

    expect(page.get_by_text("Belt speed: 2.5 m/s → 3.1 m/s")).to_be_visible()
    assert page.evaluate(_WIDER) <= 1
    faults = Axe().run(page).response["violations"]
    assert [one["id"] for one in faults if one["impact"] in {"serious", "critical"}] == []
    page.get_by_role("link", name="Take in 2 rows").click()
    expect(page.get_by_text("1 new, 1 changed")).to_be_visible()
    page.get_by_role("button", name="Take in 2 rows").click()

    expect(page.get_by_text("All of the file is in the register.")).to_be_visible()
    assert Conveyor.objects.get(tag="CV-1").speed_mps == 3.1


def test_a_long_list_shows_its_rows_once_they_are_read(page: Page, tmp_path: Path):
    rows = "".join(f"OV-{number};{'N' * 110};2;100\n" for number in range(6000))
    _send(page, tmp_path / "long.csv", _HEADER + rows)
    expect(page.get_by_text("waiting to be read")).to_be_visible()

    # What the worker does; the page asks by itself.
    importing.do_owed()

    expect(page.get_by_role("link", name="Take in 6000 rows")).to_be_visible()
