"""A case on a phone: one that was complained of, open in the walk-down app."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from diagnostics.models import Case
from tests.browser.pocket.walk import complained_of, open_phone


@pytest.fixture
def case() -> Case:
    return complained_of()


@pytest.fixture
def said() -> list[str]:
    """What the browser's console said."""
    return []


@pytest.fixture
def page(browser: Browser, live_server: LiveServer, case: Case, said: list[str]) -> Iterator[Page]:
    yield from open_phone(browser, live_server.url, case, said)
