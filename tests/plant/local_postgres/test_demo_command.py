"""`manage.py demo` as somebody at a terminal meets it: started, used, stopped; then once more."""

import os
import re
import signal
import socket
import subprocess
import urllib.error
import urllib.request
from pathlib import Path

import pytest
from django.urls import reverse

from plant.services.demo_people import DEMO_PEOPLE
from tests.plant.local_postgres import demo_over_tls
from tests.plant.local_postgres.demo_runs import (
    PATIENCE_S,
    SERVE,
    demo,
    processes_of_session,
    ready,
    running,
)
from tests.plant.local_postgres.sites import Site, wait_until


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


@pytest.mark.slow
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

    with demo(site, port, second, "--tls", "--host", "0.0.0.0") as process:
        wait_until(ready(process, second), PATIENCE_S)
        demo_over_tls.check(site, second.read_text(), port)

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


@pytest.mark.slow
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
