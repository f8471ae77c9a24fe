"""A Redis of our own for the tests that need one: private, on a free port, gone at the end."""

import contextlib
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator

import pytest

_PATIENCE_S = 60.0


def missing() -> str | None:
    if shutil.which("redis-server"):
        return None
    return "Redis is not installed (apt-get install redis-server)"


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    with tempfile.TemporaryDirectory(prefix="loopwright-redis-") as folder:
        port = _free_port()
        process = subprocess.Popen(
            ["redis-server", f"--port {port}", "--bind 127.0.0.1", "--save ''", f"--dir {folder}"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        try:
            _wait_until_it_listens(port)
            yield f"redis://127.0.0.1:{port}/0"
        finally:
            process.terminate()
            process.wait(_PATIENCE_S)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _wait_until_it_listens(port: int) -> None:
    give_up_at = time.monotonic() + _PATIENCE_S
    while time.monotonic() < give_up_at:
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            return
        time.sleep(0.05)
    raise TimeoutError(f"Redis did not listen on port {port} within {_PATIENCE_S} s")
