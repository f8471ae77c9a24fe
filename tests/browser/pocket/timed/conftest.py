"""A telephone with a clock that the tests turn."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Page,
)

from tests.browser.pocket import timed_bench
from tests.browser.pocket.timed_screen import PHONE, TEN, a_page


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    context.clock.install(time=TEN)
    # Else it runs on by itself beside what the tests let it run, and a slow machine is late.
    context.clock.pause_at(TEN + timedelta(seconds=1))
    timed_bench.answer_from_disk(context)
    yield context
    context.close()


@pytest.fixture
def page(context: BrowserContext) -> Page:
    return a_page(context)
