"""Starts the two processes of a local database: PostgreSQL itself and the watcher that stops it."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any, BinaryIO

from django.core.exceptions import ImproperlyConfigured

from plant.config import environment
from plant.config.local_postgres import binaries, cluster, folders, locks
from plant.config.local_postgres.account import Account
from plant.config.local_postgres.places import Places

_DEFAULT_LINGER_S = 10
_LONGEST_LOG_BYTES = 5_000_000
_WATCH = Path(__file__).with_name("watch.py")
_SETTINGS = {
    "listen_addresses": "",  # no TCP at all
    "unix_socket_permissions": "0700",
    "max_connections": "100",
    "timezone": "UTC",
    "log_timezone": "UTC",
    "log_line_prefix": "%m [%p] ",
}
# For tests only: a power cut may then cost the whole database.
_FAST_SETTINGS = {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}

# Kept only to be reaped when they end; both outlive us on purpose.
_children: list[subprocess.Popen[bytes]] = []


def may_be_fast() -> bool:
    return environment.flag("LOOPWRIGHT_POSTGRES_FAST")


def start_postgres(places: Places, account: Account) -> None:
    """Start it, on a cluster that is made when missing. It answers some time later."""
    folders.check_way(places, account)
    programs = binaries.programs_for(account, places)
    cluster.make_missing_cluster(places, programs, account, fast=may_be_fast())
    folders.make_private(places.cluster, account)
    folders.make_private(places.socket_folder, account)
    cluster.clear_after_dead_server(places)
    command = [str(programs / "postgres"), "-D", str(places.cluster)]
    for name, value in _server_settings(places).items():
        command += ["-c", f"{name}={value}"]
    options = {"env": binaries.fixed_environment(), **account.popen_options()}
    _start_holding(places, places.server_lock, command, **options)


def start_missing_watcher(places: Places, account: Account) -> None:
    # By its path, not as a module: the package above it loads Celery, this one needs nothing.
    command = [sys.executable, "-I", "-S", str(_WATCH), "{lock}", str(places.users_lock)]
    command += [str(places.server_lock), str(places.postmaster_pid), str(_linger_s())]
    command += [str(account.uid), str(account.gid)]
    _start_holding(places, places.watch_lock, command)


def _linger_s() -> int:
    linger_s = environment.whole_number("LOOPWRIGHT_POSTGRES_LINGER", _DEFAULT_LINGER_S)
    if linger_s < 0:
        raise ImproperlyConfigured(
            f"LOOPWRIGHT_POSTGRES_LINGER takes seconds from 0; it is {linger_s}."
        )
    return linger_s


def reap() -> None:
    _children[:] = [child for child in _children if child.poll() is None]


def _server_settings(places: Places) -> dict[str, str]:
    # A list of quoted names, to PostgreSQL.
    quoted = str(places.socket_folder).replace('"', '""')
    settings = {**_SETTINGS, "unix_socket_directories": f'"{quoted}"'}
    return {**settings, **_FAST_SETTINGS} if may_be_fast() else settings


def _start_holding(places: Places, lock: Path, command: list[str], **options: Any) -> None:
    with _opened_log(places) as log:
        process = locks.start_holding(lock, command, stdout=log, stderr=log, cwd="/", **options)
    if process is not None:
        _children.append(process)


def _opened_log(places: Places) -> BinaryIO:
    if places.log.exists() and places.log.stat().st_size > _LONGEST_LOG_BYTES:
        places.log.replace(places.log.with_suffix(".log.1"))
    flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND | os.O_NOFOLLOW
    return os.fdopen(os.open(places.log, flags, 0o600), "ab")
