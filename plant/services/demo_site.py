"""The demo as one command: a web server and a worker as children, stopped together."""

import os
import signal
import ssl
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.conf import settings

from plant.config import data_folder
from plant.errors import DomainError
from plant.services import demo_address
from plant.services.demo_certificates import Certificates
from plant.services.demo_names import Names

Say = Callable[[str], None]

START_PATIENCE_S = 90.0
STOP_PATIENCE_S = 15.0
_LOOK_AGAIN_AFTER_S = 0.2
_SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


class SiteEnded(DomainError):
    code = "site_ended"


@dataclass(frozen=True)
class Tls:
    """What serving https takes."""

    certificates: Certificates
    names: Names


def serve(host: str, port: int, when_ready: Callable[[], None], tls: Tls | None = None) -> None:
    """Serve until a signal comes, then stop both children.

    Refuses with SiteEnded when a child ends by itself; the other is stopped all the same.
    """
    with _asked_to_stop() as stop, _children(host, port, tls) as children:
        if _answers(host, port, tls, children, stop):
            when_ready()
            while not stop.wait(_LOOK_AGAIN_AFTER_S):
                _check_alive(children)


@contextmanager
def _asked_to_stop() -> Iterator[threading.Event]:
    stop = threading.Event()
    before = {number: signal.signal(number, lambda *_: stop.set()) for number in _SIGNALS}
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@contextmanager
def _children(
    host: str, port: int, tls: Tls | None
) -> Iterator[dict[str, subprocess.Popen[bytes]]]:
    """Both children; however the block is left, neither survives it."""
    children: dict[str, subprocess.Popen[bytes]] = {}
    environment = _environment(host, tls)
    try:
        for name, arguments in (("web server", _web(host, port, tls)), ("worker", _worker())):
            children[name] = subprocess.Popen(  # noqa: S603  # nosec: our own commands, no shell
                [sys.executable, *arguments],
                cwd=settings.BASE_DIR,
                env=environment,
                # Ctrl-C goes to us alone: a child still starting would answer with a traceback.
                process_group=0,
            )
        yield children
    finally:
        _stop(list(children.values()))


def _web(host: str, port: int, tls: Tls | None) -> list[str]:
    bind = ["--bind", demo_address.for_gunicorn(host, port)]
    size = ["--workers", "2", "--threads", "4"]
    quiet = ["--log-level", "warning", "--no-control-socket"]
    pair = []
    if tls is not None:
        site = str(tls.certificates.site)
        pair = ["--certfile", site, "--keyfile", site]
    return ["-m", "gunicorn", "plant.config.wsgi", *bind, *size, *quiet, *pair]


def _worker() -> list[str]:
    return ["manage.py", "worker", "--verbosity", "0", "--skip-checks"]


def _environment(host: str, tls: Tls | None) -> dict[str, str]:
    root = str(tls.certificates.root) if tls else ""
    ours = {"BEHIND_TLS": "0", "LOCAL_ROOT_CERTIFICATE": root}
    environment = {"LOG_LEVEL": "WARNING", **os.environ, **ours}
    if not environment.get("LOOPWRIGHT_EXCHANGE"):
        exchange = data_folder.data_folder() / "exchange"
        data_folder.make_folder(exchange)
        environment["LOOPWRIGHT_EXCHANGE"] = str(exchange)
    if tls is not None:
        # Under any other name no browser would take the certificate anyway.
        environment["ALLOWED_HOSTS"] = tls.names.as_allowed_hosts()
    elif host not in demo_address.LOCAL_HOSTS:
        # Asked for on purpose, so that a phone on the same network can open it by any name.
        environment.setdefault("ALLOWED_HOSTS", "*")
    return environment


def _answers(
    host: str,
    port: int,
    tls: Tls | None,
    children: dict[str, subprocess.Popen[bytes]],
    stop: threading.Event,
) -> bool:
    """Wait until the site answers; False when asked to stop before."""
    scheme = "https" if tls else "http"
    address = f"{scheme}://{demo_address.reachable_name(host)}:{port}/healthz"
    trust = ssl.create_default_context(cafile=tls.certificates.root) if tls else None
    give_up_at = time.monotonic() + START_PATIENCE_S
    while not stop.is_set():
        try:
            with urllib.request.urlopen(address, timeout=5, context=trust):  # noqa: S310  # nosec
                return True
        except urllib.error.HTTPError as error:
            raise SiteEnded(f"{address} answers {error.code} {error.reason}.") from None
        except OSError:
            _check_alive(children)
            if time.monotonic() > give_up_at:
                raise SiteEnded(
                    f"{address} has not answered for {START_PATIENCE_S:.0f} seconds."
                ) from None
        stop.wait(_LOOK_AGAIN_AFTER_S)
    return False


def _check_alive(children: dict[str, subprocess.Popen[bytes]]) -> None:
    for name, child in children.items():
        if child.poll() is not None:
            raise SiteEnded(
                f"The {name} has ended by itself (exit status {child.returncode}); "
                "its last words stand above."
            )


def _stop(children: list[subprocess.Popen[bytes]]) -> None:
    for child in children:
        child.terminate()
    give_up_at = time.monotonic() + STOP_PATIENCE_S
    for child in children:
        try:
            child.wait(max(0.0, give_up_at - time.monotonic()))
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()
