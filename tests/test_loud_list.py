"""A run on a machine without Chromium says what it left out; CI=true makes it fail instead."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
TESTS = """
import pytest

@pytest.mark.browser
def test_that_drives_chromium():
    pass

@pytest.mark.browser
def test_that_drives_it_too():
    pass

def test_that_needs_nothing():
    pass
"""
HOOKS = "from tests.loud_list import pytest_runtest_setup, pytest_terminal_summary"


@pytest.fixture
def run(tmp_path: Path):
    (tmp_path / "test_some.py").write_text(TESTS)
    (tmp_path / "conftest.py").write_text(HOOKS)
    (tmp_path / "pytest.ini").write_text("[pytest]\nmarkers =\n    browser\n    redis\n")

    def run_with(*options: str, **environment: str) -> subprocess.CompletedProcess[str]:
        kept = {name: value for name, value in os.environ.items() if name != "CI"}
        return subprocess.run(
            [sys.executable, "-m", "pytest", "-p", "no:django", "-p", "no:cacheprovider", *options],
            cwd=tmp_path,
            env={**kept, "PYTHONPATH": str(ROOT), **environment},
            capture_output=True,
            text=True,
            check=False,
        )

    return run_with


@pytest.mark.parametrize("options", [(), ("-n", "2")])
def test_missing_chromium_is_listed_loudly_with_every_test_left_out(run, options):
    ran = run(*options, CHROMIUM_PATH="/nowhere/chromium")

    assert ran.returncode == 0, ran.stdout
    assert "2 TESTS DID NOT RUN" in ran.stdout
    assert "2 because Chromium is not installed" in ran.stdout
    assert "test_some.py::test_that_drives_it_too" in ran.stdout
    assert "This was not a whole run." in ran.stdout


def test_missing_chromium_fails_a_run_of_the_full_check(run):
    ran = run(CHROMIUM_PATH="/nowhere/chromium", CI="true")

    assert ran.returncode == 1
    assert "1 passed, 2 errors" in ran.stdout
    assert "CI=true wants every test to run, but Chromium is not installed" in ran.stdout


def test_whole_run_is_not_loud(run):
    ran = run(CHROMIUM_PATH=sys.executable)

    assert ran.returncode == 0, ran.stdout
    assert "DID NOT RUN" not in ran.stdout
