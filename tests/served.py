"""The site as it really runs: web processes of their own over the test's database."""

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from django.db import connection

PATIENCE_S = 60
ROOT = Path(__file__).parents[1]


@contextmanager
def served(**environment: str) -> Iterator[str]:
    """Two web processes, found at the address given; they see what tests commit."""
    port = _free_port()
    arguments = ["gunicorn", "plant.config.wsgi", "--bind", f"127.0.0.1:{port}"]
    arguments += ["--workers", "2", "--threads", "4", "--no-control-socket"]
    process = subprocess.Popen(
        [sys.executable, "-m", *arguments],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": _database(), "LOG_LEVEL": "WARNING", **environment},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        _wait_until_it_answers(f"http://127.0.0.1:{port}/healthz")
        yield f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait(PATIENCE_S)


def _database() -> str:
    params = connection.get_connection_params()
    return f"postgresql://{quote(params['user'])}@/{params['dbname']}?host={quote(params['host'])}"


def _wait_until_it_answers(address: str) -> None:
    give_up_at = time.monotonic() + PATIENCE_S
    while True:
        try:
            with urllib.request.urlopen(address, timeout=5):
                return
        except OSError:
            assert time.monotonic() < give_up_at
            time.sleep(0.2)


def _free_port() -> int:
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return asked.getsockname()[1]
