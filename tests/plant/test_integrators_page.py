"""The page for whoever connects another system, and the reference of the API."""

from http import HTTPStatus
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from plant.roles import Role
from tests import page_reader
from tests.plant import factories
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician() -> Client:
    return signed_in(factories.make_person(Role.TECHNICIAN, plants=[factories.make_plant()]))


def test_the_lines_to_copy_hold_this_sites_address(technician: Client, settings: Any):
    page = technician.get(reverse("integrators")).content.decode()
    assert "http://testserver/api/v1/work-orders/changes?after=$NEXT" in page

    settings.SITE_ADDRESS = "https://belts.example"

    page = technician.get(reverse("integrators")).content.decode()
    assert "https://belts.example/api/v1/work-orders/changes?after=$NEXT" in page


def test_the_page_tells_the_figures_of_this_site(technician: Client, settings: Any):
    settings.FEED_KEPT_DAYS, settings.API_REQUESTS_PER_MINUTE = 37, 123

    page = technician.get(reverse("integrators")).content.decode()

    assert "the last 37 days" in page
    assert "123 requests in 60 s" in page


@pytest.mark.parametrize(
    "word",
    [
        "after=now",
        "own=no",
        "410",
        "412",
        "428",
        "429",
        "If-Match",
        "Idempotency-Key",
        "all_or_nothing",
        "RateLimit",
        "Retry-After",
        "RFC 9457",
        "Deprecation",
        "Sunset",
    ],
)
def test_the_page_says_what_a_puller_must_know(technician: Client, word: str):
    assert word in technician.get(reverse("integrators")).content.decode()


def test_everybody_gets_there_from_their_own_menu_and_administrators_from_the_keys(
    technician: Client,
):
    administrator = signed_in(
        factories.make_person(Role.ADMINISTRATOR, plants=[factories.make_plant()])
    )
    link = reverse("integrators")

    for client, name in ((technician, "today"), (administrator, "keys")):
        assert link in page_reader.read(client.get(reverse(name)).content.decode()).links


def test_links_of_administrators_are_shown_to_them_alone(technician: Client):
    page = page_reader.read(technician.get(reverse("integrators")).content.decode())

    assert not {reverse("keys"), reverse("systems")} & set(page.links)


def test_the_reference_brings_all_it_draws_with(technician: Client):
    answer = technician.get(reverse("api-reference"))

    assert answer.status_code == HTTPStatus.OK
    page = answer.content.decode()
    assert f'data-description="{reverse("api-openapi")}"' in page
    for name in ("swagger-ui.css", "swagger-ui-bundle.js"):
        assert name in page
        assert finders.find(f"drf_spectacular_sidecar/swagger-ui-dist/{name}")
