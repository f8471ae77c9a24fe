"""Joins the users of the local PostgreSQL and starts it when it does not run.

Order of locks: first a share in `users.lock` (the watcher stops the server only while nobody has one),
then `start.lock` alone, then a look at `server.lock`, which lives and dies with the server itself.
"""

import fcntl
import logging
import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import psycopg
from psycopg import sql
from psycopg.pq import Ping

from plant.config import environment
from plant.config.local_postgres import account as accounts
from plant.config.local_postgres import binaries, cluster, faults, folders, locks
from plant.config.local_postgres.account import Account
from plant.config.local_postgres.places import Places

logger = logging.getLogger(__name__)

_PATIENCE_S = 120.0
_LOOK_AGAIN_AFTER_S = 0.03
_DEFAULT_LINGER_S = 10
_LONGEST_LOG_BYTES = 5_000_000
_ATTEMPTS = 3
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

_one_thread = threading.Lock()
_shares: dict[Path, int] = {}
_started: dict[Path, subprocess.Popen] = {}


def _new_lock_after_fork() -> None:
    # Another thread of the parent may have held it, and there is no such thread in the child.
    global _one_thread
    _one_thread = threading.Lock()


os.register_at_fork(after_in_child=_new_lock_after_fork)


def ensure_running(places: Places, database: str | None = None) -> None:
    """Return when the server answers, as long as this process lives it is kept running.

    Makes the named database when it is missing.
    """
    with _one_thread:
        folders.make_root(places.root)
        _join_users(places)
        with locks.held(places.start_lock, _PATIENCE_S) as alone:
            if not alone:
                raise faults.running_fault(
                    f"Another process has been starting PostgreSQL in {places.root} "
                    f"for {_PATIENCE_S:.0f} seconds.",
                    f"Read {places.log}, end that process and try again",
                )
            _ensure_it_answers(places)
            if database:
                _make_missing_database(places, database)


def _join_users(places: Places) -> None:
    if _has_share(places):
        return
    descriptor = locks.opened(places.users_lock)
    if not locks.taken_within(descriptor, fcntl.LOCK_SH, _PATIENCE_S):
        os.close(descriptor)
        raise faults.running_fault(
            f"PostgreSQL in {places.root} has been stopping for {_PATIENCE_S:.0f} seconds.",
            f"Read {places.log} and try again",
        )
    # Tells the watcher that somebody was here, should this process be gone when it looks.
    os.utime(descriptor)
    _shares[places.root] = descriptor


def _has_share(places: Places) -> bool:
    """Whether we hold a share of the lock file that stands there now, not of a removed one."""
    descriptor = _shares.get(places.root)
    if descriptor is None:
        return False
    try:
        if os.path.samestat(os.fstat(descriptor), places.users_lock.stat()):
            return True
    except FileNotFoundError:
        pass
    os.close(_shares.pop(places.root))
    return False


def _ensure_it_answers(places: Places) -> None:
    account = accounts.server_account()
    for _attempt in range(_ATTEMPTS):
        _ensure_watcher(places, account)
        if not locks.is_held(places.server_lock):
            _start(places, account)
        if _answers_in_time(places):
            return
    raise faults.running_fault(
        f"PostgreSQL in {places.root} started and ended again:\n{faults.tail(places.log)}\n",
        "Put right what its log says and try again",
    )


def _start(places: Places, account: Account) -> None:
    fast = environment.flag("LOOPWRIGHT_POSTGRES_FAST")
    folders.check_way(places, account)
    programs = binaries.programs_for(account, places)
    cluster.make_missing_cluster(places, programs, account, fast=fast)
    folders.make_private(places.cluster, account)
    folders.make_private(places.socket_folder, account)
    cluster.clear_after_dead_server(places)
    quoted = str(places.socket_folder).replace('"', '""')
    settings = {**_SETTINGS, "unix_socket_directories": f'"{quoted}"'}
    if fast:
        settings |= _FAST_SETTINGS
    command = [str(programs / "postgres"), "-D", str(places.cluster)]
    for name, value in settings.items():
        command += ["-c", f"{name}={value}"]
    with _log(places) as log:
        process = locks.start_holding(
            places.server_lock,
            command,
            stdout=log,
            stderr=log,
            cwd="/",
            env=binaries.fixed_environment(),
            **account.popen_options(),
        )
    if process is not None:
        _started[places.root] = process
        logger.info("Started PostgreSQL (process %d) in %s.", process.pid, places.root)


def _log(places: Places):  # noqa: ANN202
    if places.log.exists() and places.log.stat().st_size > _LONGEST_LOG_BYTES:
        places.log.replace(places.log.with_suffix(".log.1"))
    flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND | os.O_NOFOLLOW
    return os.fdopen(os.open(places.log, flags, 0o600), "ab")


def _answers_in_time(places: Places) -> bool:
    """Wait for an answer; False when the server has ended meanwhile."""
    give_up_at = time.monotonic() + _PATIENCE_S
    while _ping(places) != Ping.OK:
        _reap(places)
        if not locks.is_held(places.server_lock):
            return False
        if time.monotonic() > give_up_at:
            raise faults.running_fault(
                f"PostgreSQL in {places.root} runs but has not answered on "
                f"{places.socket_folder} for {_PATIENCE_S:.0f} seconds:\n"
                f"{faults.tail(places.log)}\n",
                "If it is recovering, wait and try again; else stop it (its number is the first "
                f"line of {places.postmaster_pid}) with kill -INT",
            )
        time.sleep(_LOOK_AGAIN_AFTER_S)
    return True


def _reap(places: Places) -> None:
    process = _started.get(places.root)
    if process is not None and process.poll() is not None:
        del _started[places.root]


def _ping(places: Places) -> Ping:
    address = psycopg.conninfo.make_conninfo(
        host=str(places.socket_folder), user=cluster.ROLE, dbname="postgres", connect_timeout=5
    )
    return Ping(psycopg.pq.PGconn.ping(address.encode()))


def _make_missing_database(places: Places, name: str) -> None:
    with psycopg.connect(
        host=str(places.socket_folder), user=cluster.ROLE, dbname="postgres", autocommit=True
    ) as connection:
        if connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone():
            return
        connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        logger.info("Made the database %s in %s.", name, places.root)


def _ensure_watcher(places: Places, account: Account) -> None:
    linger_s = environment.whole_number("LOOPWRIGHT_POSTGRES_LINGER", _DEFAULT_LINGER_S)
    # By its path, not as a module: the package above it loads Celery, this one needs nothing.
    command = [sys.executable, "-I", "-S", str(_WATCH), "{lock}", str(places.users_lock)]
    command += [str(places.server_lock), str(places.postmaster_pid), str(linger_s)]
    with _log(places) as log:
        process = locks.start_holding(
            places.watch_lock,
            [*command, str(account.uid), str(account.gid)],
            stdout=log,
            stderr=log,
            cwd="/",
        )
    if process is not None:
        _watchers.append(process)
