"""Runs of `manage.py demo`, or of its children alone, that leave no process behind."""

import os
import signal
import subprocess
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

from tests.plant.local_postgres.sites import ROOT, Site, interpreter_for

# The demo plant's history is worked out by the engine at the first start.
PATIENCE_S = 420.0


# The children alone, with no plant to load first.
SERVE = """
import sys, django
django.setup()
from plant.services import demo_site
demo_site.serve("127.0.0.1", int(sys.argv[1]), lambda: print("Ctrl-C stops everything", flush=True))
"""

# The same over TLS, for further names after the port.
SERVE_TLS = """
import sys, django
django.setup()
from django.utils import timezone
from plant.services import demo_certificates, demo_names, demo_site
names = demo_names.names_of_this_machine(*sys.argv[2:])
tls = demo_site.Tls(demo_certificates.ready(names, timezone.now()), names)
port = int(sys.argv[1])
demo_site.serve("127.0.0.1", port, lambda: print("Ctrl-C stops everything", flush=True), tls)
"""


def demo(
    site: Site, port: int, log: Path, *more: str
) -> AbstractContextManager[subprocess.Popen[str]]:
    return running(site, log, [str(ROOT / "manage.py"), "demo", "--port", str(port), *more])


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
