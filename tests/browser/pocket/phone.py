"""A technician's phone: one Chromium with a folder of its own, which can die and come back."""

import os
import re
import signal
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import psutil
from django.conf import settings
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from diagnostics.models import Case
from plant.models import User
from tests.plant.factories import signed_in

SCREEN = {"width": 360, "height": 740}
# For a machine that does other work besides.
_PATIENCE_MS = 30_000


class PocketPhone:
    """`page` shows the app; everything is done by touch."""

    def __init__(
        self, playwright: Playwright, launch: dict[str, Any], folder: Path, site: str
    ) -> None:
        self._playwright, self._launch, self._folder = playwright, launch, folder
        self.site = site
        self.context: BrowserContext
        self.page: Page
        self.wake()

    def wake(self, *, offline: bool = False) -> None:
        """Starts the browser; its folder is as it was left."""
        self.context = self._playwright.chromium.launch_persistent_context(
            str(self._folder),
            **self._launch,
            base_url=self.site,
            viewport=SCREEN,
            has_touch=True,
            is_mobile=True,
        )
        self.context.set_default_timeout(_PATIENCE_MS)
        self.context.set_offline(offline)
        self.page = self.context.pages[0]

    def die(self) -> None:
        """The battery is out: nothing is closed in order."""
        for one in psutil.process_iter(["cmdline"]):
            if f"--user-data-dir={self._folder}" in (one.info["cmdline"] or []):
                os.kill(one.pid, signal.SIGKILL)
        self.close()

    def close(self) -> None:
        # What is dead needs no closing.
        with suppress(Exception):
            self.context.close()

    def sign_in(self, person: User) -> None:
        client = signed_in(person)
        name = settings.SESSION_COOKIE_NAME
        cookie = {"name": name, "value": client.cookies[name].value, "url": self.site}
        # Kept over the browser's end, as a person's own phone keeps it.
        self.context.add_cookies([cookie | {"expires": 2_000_000_000}])

    def sign_out(self) -> None:
        self.context.clear_cookies()

    def take_along(self, case: Case) -> None:
        self.page.goto(f"/walk/{case.number}/")
        expect(self.page.get_by_text("Ready without signal")).to_be_visible(timeout=_PATIENCE_MS)
        # Only what the service worker holds opens again without signal.
        self.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        expect(self.page.get_by_text("All sent")).to_be_visible()

    def open(self, case: Case) -> None:
        self.page.goto(f"/walk/{case.number}/")

    def begin(self, *, facing: str = "towards the head", load: str = "loaded") -> None:
        self.tap("link", "Walk the belt")
        self.choose("I have read the cautions")
        self.choose(facing)
        self.choose(load)
        self.tap("button", "Go to the first station")
        expect(self.page.get_by_text("stop 1 of")).to_be_visible()

    def choose(self, words: str) -> None:
        self.page.get_by_label(words, exact=False).first.tap()

    def tap(self, role: Any, name: str | re.Pattern[str], **how: Any) -> None:
        self.page.get_by_role(role, name=name, **how).first.tap()

    @property
    def station(self) -> str:
        return self.page.get_by_role("heading", level=1).inner_text()

    def look(self, name: str | re.Pattern[str] = "centred") -> None:
        """One tap at the station shown; returns when the phone says that it is kept."""
        before = self.page.get_by_role("heading", level=1).inner_text()
        if self.page.get_by_text("Do you turn round to face the tail?").is_visible():
            self.tap("button", "No, I still face the head")
        self.tap("button", name)
        expect(self.page.get_by_text(f"Kept: {before}").first).to_be_visible()

    def add_photo(self, content: bytes) -> None:
        self.tap("link", "Photo")
        expect(self.page.get_by_role("heading", level=1)).to_contain_text("Photo of")
        file = {"name": "belt.jpg", "mimeType": "image/jpeg", "buffer": content}
        self.page.locator("input[type=file]").set_input_files([file])
        expect(self.page.locator("main canvas").last).to_be_visible()
        self.tap("button", "Keep the photos")
        expect(self.page.get_by_role("heading", level=1)).not_to_contain_text("Photo of")

    def suspected(self) -> list[tuple[str, float]]:
        """The classes shown as suspected, with their shares."""
        listed = self.page.get_by_role("region", name="Suspected so far").get_by_role("listitem")
        found = []
        for words in listed.all_inner_texts():
            name, share = words.split("\n")[0], re.search(r"(\d+)\s*%", words)
            found.append((name, int(share.group(1)) / 100 if share else 0.0))
        return found

    def offline(self) -> None:
        self.context.set_offline(True)

    def online(self) -> None:
        self.context.set_offline(False)
        self.page.evaluate("dispatchEvent(new Event('online'))")

    def waits(self, count: int) -> None:
        words = f"To be sent: {count}" if count else "All sent"
        expect(self.page.locator("#top-line")).to_contain_text(words, timeout=_PATIENCE_MS)


@contextmanager
def phone_of(
    person: User, playwright: Playwright, launch: dict[str, Any], folder: Path, site: str
) -> Iterator[PocketPhone]:
    """Signed in as the person; closed at the end."""
    phone = PocketPhone(playwright, launch, folder, site)
    try:
        phone.sign_in(person)
        yield phone
    finally:
        phone.close()
