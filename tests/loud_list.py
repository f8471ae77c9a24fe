"""Says loudly, at the end of a run, what did not run because something is missing on the machine.

With CI=true that is a failure, so that nobody takes half a run for a whole one.
"""

import os
from collections import defaultdict
from typing import NoReturn

import pytest

from tests import chromium, redis_server

_NEEDS = {"browser": chromium.missing, "redis": redis_server.missing}


def not_here(why: str) -> NoReturn:
    """Skip this test with a reason that ends up in the loud list; fail where all must run."""
    if os.environ.get("CI", "").lower() in {"1", "true", "yes"}:
        pytest.fail(f"CI=true wants every test to run, but {why}", pytrace=False)
    pytest.skip(why)


def pytest_runtest_setup(item: pytest.Item) -> None:
    for marker, missing in _NEEDS.items():
        if item.get_closest_marker(marker) and (why := missing()):
            not_here(why)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    by_reason: dict[str, list[str]] = defaultdict(list)
    for report in terminalreporter.stats.get("skipped", []):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
        by_reason[reason.removeprefix("Skipped: ")].append(report.nodeid)
    if not by_reason:
        return
    count = sum(len(tests) for tests in by_reason.values())
    terminalreporter.section(f"{count} TESTS DID NOT RUN", sep="!", red=True, bold=True)
    for reason, tests in sorted(by_reason.items()):
        terminalreporter.write_line(f"{len(tests)} because {reason}:", red=True, bold=True)
        for test in sorted(tests):
            terminalreporter.write_line(f"    {test}", red=True)
    terminalreporter.write_line("This was not a whole run.", red=True, bold=True)
