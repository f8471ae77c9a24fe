"""What the tests of the launcher share: data folders, and processes that use them."""

import json
import os
import pwd
import subprocess
import sys
import sysconfig
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, Self

from plant.config.local_postgres import locks
from plant.config.local_postgres.places import Places
from tests.loud_list import not_here

ROOT = Path(__file__).resolve().parents[3]
PROGRAM = Path(__file__).with_name("user_process.py")
STARTED_AT = "SELECT pg_postmaster_start_time()::text"
# For a machine that does other work besides.
PATIENCE_S = 60.0


@dataclass
class Site:
    """A data folder and the person who uses it; None for whoever runs the tests."""

    data: Path
    person: str | None = None
    linger_s: int = 0
    extra: dict[str, str] = field(default_factory=dict)

    @property
    def places(self) -> Places:
        return Places(self.data / "postgres")

    def environment(self) -> dict[str, str]:
        return {
            "PATH": os.environ["PATH"],
            "HOME": "/nonexistent",
            "LANG": "xx_XX.UTF-8",  # a locale no system knows
            "PYTHONPATH": f"{ROOT}{os.pathsep}{sysconfig.get_path('purelib')}",
            "PYTHONDONTWRITEBYTECODE": "1",
            "LOOPWRIGHT_DATA": str(self.data),
            "LOOPWRIGHT_POSTGRES_FAST": "1",
            "LOOPWRIGHT_POSTGRES_LINGER": str(self.linger_s),
            **self.extra,
        }

    def run_options(self) -> dict[str, Any]:
        options: dict[str, Any] = {"env": self.environment(), "text": True, "cwd": "/"}
        if self.person:
            entry = pwd.getpwnam(self.person)
            options |= {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}
        return options

    def server_runs(self) -> bool:
        return locks.is_held(self.places.server_lock)

    def server_number(self) -> int:
        return int(self.places.postmaster_pid.read_text().split("\n")[0])

    def wait_until_stopped(self, patience_s: float = PATIENCE_S) -> None:
        wait_until(lambda: not self.server_runs(), patience_s)

    def owner(self) -> int:
        return self.places.cluster.stat().st_uid


class User:
    """A running process of user_process.py."""

    def __init__(self, site: Site) -> None:
        self.process = subprocess.Popen(
            [interpreter_for(site.person), str(PROGRAM)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            **site.run_options(),
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        self.leave()

    def say(self, line: str) -> None:
        print(line, file=self.process.stdin, flush=True)

    def hear(self) -> dict[str, Any]:
        heard = self.process.stdout.readline()
        assert heard, self.process.stderr.read()
        return json.loads(heard)

    def ask(self, line: str) -> Any:
        self.say(line)
        heard = self.hear()
        assert "answer" in heard, heard
        return heard["answer"]

    def leave(self) -> None:
        if self.process.poll() is None:
            self.process.stdin.close()
            self.process.wait(PATIENCE_S)
        self.process.stdout.close()
        self.process.stderr.close()

    def kill(self) -> None:
        self.process.kill()
        self.process.wait(PATIENCE_S)


def wait_until(condition: Callable[[], bool], patience_s: float = PATIENCE_S) -> None:
    give_up_at = time.monotonic() + patience_s
    while not condition():
        assert time.monotonic() < give_up_at, "waited in vain"
        time.sleep(0.05)


@cache
def interpreter_for(person: str | None) -> str:
    """A Python the person can run with our code, or a loud skip."""
    if person is None:
        return sys.executable
    site = Site(Path("/nonexistent"), person)
    version = f"python3.{sys.version_info.minor}"
    for candidate in (sys.executable, f"/usr/bin/{version}", f"/usr/local/bin/{version}"):
        try:
            probe = [candidate, "-c", "import plant.config.local_postgres.base, numpy"]
            ran = subprocess.run(probe, capture_output=True, **site.run_options(), check=False)
        except OSError:
            continue
        if ran.returncode == 0:
            return candidate
    not_here(f"the user {person} can reach no Python {version} with our code and its libraries")
