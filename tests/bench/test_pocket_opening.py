"""How long the app takes to open: `pytest -m bench -s tests/bench/test_pocket_opening.py`.

Targets: 10 s for the first time on a slow link (400 kbit/s, 150 ms), from the address to "ready
without signal", everything fetched; 1 s from the phone's own store later. As on a real site the
files go out compressed, from `collectstatic`. Nothing is asserted: machines differ.
"""

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.test.testcases import LiveServerThread
from playwright.sync_api import Playwright, expect

from diagnostics import pocket_shell
from diagnostics.models import Case
from plant.roles import Role
from tests.browser.pocket.phone import PocketPhone, phone_of
from tests.diagnostics.factories import make_case
from tests.plant.factories import make_complete_conveyor, make_person

pytestmark = [pytest.mark.bench, pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FIRST_S, LATER_S = 10.0, 1.0
SLOW = {"offline": False, "latency": 150, "downloadThroughput": 50_000, "uploadThroughput": 50_000}


@pytest.fixture
def compressed(settings: Any, tmp_path: Path) -> Iterator[None]:
    """Static files as `collectstatic` lays them down, served by WhiteNoise."""
    settings.STATIC_ROOT = tmp_path / "static"
    settings.WHITENOISE_USE_FINDERS = False
    settings.WHITENOISE_AUTOREFRESH = False
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
    }
    call_command("collectstatic", "--no-input", verbosity=0)
    pocket_shell.shell_of.cache_clear()
    yield
    pocket_shell.shell_of.cache_clear()


@pytest.fixture
def phone(
    compressed: None,
    playwright: Playwright,
    browser_type_launch_args: dict[str, Any],
    tmp_path: Path,
) -> Iterator[tuple[PocketPhone, Case]]:
    case = make_case(make_complete_conveyor())
    person = make_person(Role.TECHNICIAN, plants=[case.conveyor.plant])
    # Without Django's own way of serving static files: WhiteNoise does it, as on a real site.
    server = LiveServerThread("localhost", lambda application: application)
    server.start()
    server.is_ready.wait()
    address = f"http://localhost:{server.port}"
    try:
        with phone_of(
            person, playwright, browser_type_launch_args, tmp_path / "phone", address
        ) as made:
            yield made, case
    finally:
        server.terminate()


def test_opening_for_the_first_time_and_later(phone: tuple[PocketPhone, Case]):
    made, case = phone
    tools = made.context.new_cdp_session(made.page)
    tools.send("Network.enable")
    tools.send("Network.emulateNetworkConditions", SLOW)
    came = []
    tools.on("Network.loadingFinished", lambda told: came.append(told["encodedDataLength"]))

    began = time.perf_counter()
    made.open(case)
    expect(made.page.get_by_text("Ready without signal")).to_be_visible(timeout=60_000)
    first_s = time.perf_counter() - began
    made.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    made.offline()
    began = time.perf_counter()
    made.page.reload()
    expect(made.page.get_by_text("Ready without signal")).to_be_visible()
    later_s = time.perf_counter() - began

    print(f"\nfirst: {sum(came) / 1e3:.0f} kB, {first_s / FIRST_S:.2f} of the target")
    print(f"later: {later_s / LATER_S:.2f} of the target")
