"""Chromium as the machine has it; nothing is downloaded."""

import os
import shutil
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

PATIENCE_MS = 30_000
_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
_MAC = Path("/Applications/Google Chrome.app/Contents/MacOS/Google Chrome")
_QUIET = (
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def found() -> str | None:
    named = os.environ.get("CHROMIUM_PATH")
    if named:
        return named if os.access(named, os.X_OK) else None
    on_path = next(filter(None, map(shutil.which, _NAMES)), None)
    return on_path or (str(_MAC) if _MAC.exists() else None)


def missing() -> str | None:
    if found():
        return None
    return "Chromium is not installed (apt-get install chromium, or name it in CHROMIUM_PATH)"


@pytest.fixture(scope="session")
def chromium_path() -> str:
    path = found()
    assert path, missing()
    return path


@pytest.fixture(scope="session")
def browser_type_launch_args(
    browser_type_launch_args: dict[str, Any], chromium_path: str
) -> dict[str, Any]:
    # Five seconds, playwright's own patience, are few on a machine with other work besides.
    expect.set_options(timeout=PATIENCE_MS)
    # Playwright keeps an event loop in this thread to the end of the session, and Django would
    # refuse the database to every later test of this process.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    arguments = [*_QUIET]
    if os.geteuid() == 0:
        arguments.append("--no-sandbox")
    return {**browser_type_launch_args, "executable_path": chromium_path, "args": arguments}
