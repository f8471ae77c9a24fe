"""Chromium, the site and the database work together at all; the journeys stand on this."""

import pytest
from playwright.sync_api import Page
from pytest_django.live_server_helper import LiveServer

from plant.models import Plant

pytestmark = pytest.mark.browser


def test_chromium_opens_the_running_site(page: Page, live_server: LiveServer):
    answer = page.goto(f"{live_server.url}/healthz")

    assert answer is not None
    assert (answer.status, answer.text()) == (200, "ok\n")


@pytest.mark.django_db(transaction=True)
def test_database_may_be_used_in_the_same_test(page: Page, live_server: LiveServer):
    Plant.objects.create(code="LT", name="Larkwater Terminal")

    answer = page.goto(f"{live_server.url}/readyz")

    assert answer is not None
    assert (answer.status, answer.text()) == (200, "ready\n")
    assert Plant.objects.count() == 1
