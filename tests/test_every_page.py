"""Every page for every role, without another plant's rows, and as the security policy wants it."""

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import NoReverseMatch, Resolver404, resolve

from plant.roles import Role
from tests import page_reader, stacked_tables
from tests.addresses import Address, every_address
from tests.plant.factories import make_person, make_plant, signed_in
from tests.world import World, make_world

pytestmark = pytest.mark.django_db

# The door that the signed-in are led on from, a file that only a demo with TLS has, and figures
# for programs.
_NO_PAGE = {None, "sign-in", "local-root", "metrics"}
PAGES = [
    address
    for address in every_address()
    if address.name not in _NO_PAGE and not address.sample.startswith("/api/")
]
# Parameters that do not lead to a row of a plant.
_NO_ROW = {
    "slug",
    "rule_slug",
    "figures",
    "table",
    "sheet",
    "uidb64",
    "token",
    "place",
    "kind",
    "method",
    "cause_class",
    "mends_table",
    "campaign_table",
    "feed",
}
ABOUT_ROWS = [page for page in PAGES if set(page.parameters) - _NO_ROW and not page.is_open]


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: Any) -> Iterator[World]:
    """Made once for this file and rolled back after it; pages only read."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield make_world()
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def stranger(world: World) -> Client:
    """May do everything, at another plant."""
    return signed_in(make_person(Role.ADMINISTRATOR, Role.LEAD, plants=[make_plant()]))


@pytest.mark.parametrize("address", PAGES, ids=str)
def test_no_role_breaks_a_page(address: Address, world: World):
    for role, person in world.people.items():
        response = signed_in(person).get(world.address(address))

        assert response.status_code in {200, 302, 403, 404, 405, 409}, (role, response.content)
        # Whoever may do everything is not told that their own row is not there.
        assert role is not Role.ADMINISTRATOR or response.status_code not in {403, 404}


@pytest.mark.parametrize("address", ABOUT_ROWS, ids=str)
def test_rows_of_another_plant_are_not_there(address: Address, world: World, stranger: Client):
    for method in ("get", "post"):
        response = getattr(stranger, method)(world.address(address))

        assert response.status_code in {404, 405}, (method, response.content)


def test_an_address_that_no_text_can_hold_is_no_failure(world: World):
    client = signed_in(world.people[Role.ADMINISTRATOR])
    asked = set()
    for address in PAGES:
        for parameter in address.parameters:
            try:
                where = world.address(address, **{parameter: "\x00"})
            except NoReverseMatch:
                # Of a number or a short name the pattern itself refuses it.
                continue
            asked.add(parameter)
            assert client.get(where).status_code < 500, where
    assert asked >= {"tag", "name", "entry_kind"}


@pytest.mark.parametrize("address", PAGES, ids=str)
def test_a_page_keeps_to_the_policy_and_names_its_parts(address: Address, world: World):
    client = signed_in(world.people[Role.ADMINISTRATOR])
    response = client.get(world.address(address))
    policy = response["Content-Security-Policy"]

    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    if response.status_code == 200 and response["Content-Type"].startswith("text/html"):
        text = response.content.decode()
        found = page_reader.read(text)
        assert found.complaints == []
        assert stacked_tables.complaints_of(text) == []
        assert [link for link in found.links if leads_nowhere(link)] == []
        # Parts that htmx puts into a page have no head of their own.
        if "<html" in text:
            assert '<html lang="en">' in text
            assert found.headings.count("h1") == 1


def leads_nowhere(link: str) -> bool:
    path = link.split("?")[0].split("#")[0]
    if not path.startswith("/"):
        return False
    try:
        return resolve(path).url_name is None
    except Resolver404:
        return True
