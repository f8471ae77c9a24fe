"""`manage.py demo` as somebody at a terminal meets it: started, used, stopped; then once more."""

import os
import re
import signal
import socket
import subprocess
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

import pytest
from django.urls import reverse

from plant.services.demo_people import DEMO_PEOPLE
from tests.plant.local_postgres.sites import ROOT, Site, interpreter_for, wait_until

# The demo plant's history is worked out by the engine at the first start.
PATIENCE_S = 420.0


# The children alone, with no plant to load first.
SERVE = """
import sys, django
django.setup()
from plant.services import demo_site
demo_site.serve("127.0.0.1", int(sys.argv[1]), lambda: print("Ctrl-C stops everything", flush=True))
"""


def demo(site: Site, port: int, log: Path) -> AbstractContextManager[subprocess.Popen[str]]:
    return running(site, log, [str(ROOT / "manage.py"), "demo", "--port", str(port)])


@contextmanager
def running(site: Site, log: Path, arguments: list[str]) -> Iterator[subprocess.Popen[str]]:
    site.extra["DJANGO_SETTINGS_MODULE"] = "plant.config.settings"
    with log.open("w") as file:
        process = subprocess.Popen(
            [interpreter_for(site.person), *arguments],
            stdout=file,
            stderr=file,
            start_new_session=True,
            **site.run_options(),
        )
    try:
        yield process
    finally:
        for number in processes_of_session(process.pid):
            os.kill(number, signal.SIGKILL)
        process.wait()


def processes_of_session(session: int) -> list[int]:
    listing = subprocess.run(
        ["ps", "-eo", "pid=,sess=,stat="], capture_output=True, text=True, check=True
    )
    fields = (line.split() for line in listing.stdout.splitlines())
    return [int(pid) for pid, sess, stat, *_ in fields if int(sess) == session and stat[0] != "Z"]


def ready(process: subprocess.Popen[str], log: Path) -> Callable[[], bool]:
    def is_ready() -> bool:
        assert process.poll() is None, log.read_text()
        return "Ctrl-C stops everything" in log.read_text()

    return is_ready


def fetch(url: str) -> tuple[int, str]:
    try:
        with urllib.request.urlopen(url, timeout=30) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.read().decode()


@pytest.fixture
def port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def test_demo_starts_serves_and_stops_without_leaving_a_child_and_does_so_again(
    own_site: Site, port: int, tmp_path: Path
):
    _start_serve_and_stop_twice(own_site, port, tmp_path)


@pytest.mark.slow
def test_demo_does_all_that_for_an_ordinary_user_too(
    ordinary_site: Site, port: int, tmp_path: Path
):
    _start_serve_and_stop_twice(ordinary_site, port, tmp_path)


def _start_serve_and_stop_twice(site: Site, port: int, tmp_path: Path) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    with demo(site, port, first) as process:
        wait_until(ready(process, first), PATIENCE_S)
        _check_what_is_said_and_served(first.read_text(), f"http://127.0.0.1:{port}")

        process.send_signal(signal.SIGTERM)
        assert process.wait(30) == 0
        assert processes_of_session(process.pid) == []
    site.wait_until_stopped()

    with demo(site, port, second) as process:
        wait_until(ready(process, second), PATIENCE_S)
        # As a terminal sends Ctrl-C: to everybody in its foreground group.
        os.killpg(process.pid, signal.SIGINT)
        assert process.wait(30) == 0
        assert processes_of_session(process.pid) == []
    assert "takes a minute" in first.read_text()
    assert "takes a minute" not in second.read_text()
    for log in (first, second):
        assert "Stopped." in log.read_text()
        assert "Traceback" not in log.read_text()


def _check_what_is_said_and_served(said: str, address: str) -> None:
    assert f"ready at {address}/" in said
    for person in DEMO_PEOPLE:
        line = rf"{person.role.value}\s+{re.escape(person.username)}\s+{person.password}"
        assert re.search(line, said)
    assert fetch(f"{address}/healthz") == (200, "ok\n")
    assert fetch(f"{address}/readyz") == (200, "ready\n")
    status, page = fetch(f"{address}{reverse('sign-in')}")
    assert status == 200
    assert 'name="password"' in page


def test_site_ends_with_its_reason_when_its_web_server_is_killed(
    own_site: Site, port: int, tmp_path: Path
):
    log = tmp_path / "log"
    with running(own_site, log, ["-c", SERVE, str(port)]) as process:
        wait_until(ready(process, log), PATIENCE_S)
        os.kill(_child_named(process.pid, "gunicorn"), signal.SIGKILL)

        assert process.wait(30) == 1
        wait_until(lambda: processes_of_session(process.pid) == [])
    assert "The web server has ended by itself" in log.read_text()


def test_taken_port_is_refused_before_anything_is_started(own_site: Site, tmp_path: Path):
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen(1)
        with demo(own_site, holder.getsockname()[1], tmp_path / "log") as process:
            assert process.wait(30) == 1

    assert (
        "is taken by another program. Try: manage.py demo --port" in (tmp_path / "log").read_text()
    )
    assert not own_site.places.root.exists()


def _child_named(parent: int, word: str) -> int:
    listing = subprocess.run(
        ["ps", "-ww", "-eo", "pid=,ppid=,args="], capture_output=True, text=True, check=True
    )
    for line in listing.stdout.splitlines():
        number, of, command = line.split(maxsplit=2)
        if int(of) == parent and word in command:
            return int(number)
    raise AssertionError(f"no child of {parent} is called {word}")
