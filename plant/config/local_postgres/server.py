"""Joins the users of the local PostgreSQL and starts it when it does not run.

Order of locks: first a share of `users.lock` (the watcher stops the server only while nobody has
one), then `start.lock` alone, then a look at `server.lock`, which lives and dies with the server.
"""

import fcntl
import logging
import os
import threading
import time
from pathlib import Path

import psycopg
from psycopg import conninfo, sql
from psycopg.pq import PGconn, Ping

from plant.config.local_postgres import account as accounts
from plant.config.local_postgres import cluster, faults, folders, launching, locks
from plant.config.local_postgres.places import Places

logger = logging.getLogger(__name__)

_PATIENCE_S = 120.0
_LOOK_AGAIN_AFTER_S = 0.03
_ATTEMPTS = 3

_one_thread = threading.Lock()
_shares: dict[Path, int] = {}


def _new_lock_after_fork() -> None:
    # Another thread of the parent may have held it, and there is no such thread in the child.
    global _one_thread
    _one_thread = threading.Lock()


os.register_at_fork(after_in_child=_new_lock_after_fork)


def is_joined(places: Places) -> bool:
    """Whether we hold a share of the lock file that stands there now, not of a removed one."""
    descriptor = _shares.get(places.root)
    if descriptor is None:
        return False
    try:
        return os.path.samestat(os.fstat(descriptor), places.users_lock.stat())
    except FileNotFoundError:
        return False


def ensure_running(places: Places) -> None:
    """Return when the server answers; from then on it runs as long as this process lives."""
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
            _make_missing_database(places)


def _join_users(places: Places) -> None:
    if is_joined(places):
        return
    if places.root in _shares:
        os.close(_shares.pop(places.root))
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


def _ensure_it_answers(places: Places) -> None:
    account = accounts.server_account()
    for _attempt in range(_ATTEMPTS):
        launching.start_missing_watcher(places, account)
        if not locks.is_held(places.server_lock):
            launching.start_postgres(places, account)
            logger.info("Started PostgreSQL in %s.", places.root)
        if _answers_in_time(places):
            return
    raise faults.running_fault(
        f"PostgreSQL in {places.root} started and ended again:\n{faults.tail(places.log)}\n",
        "Put right what its log says and try again",
    )


def _answers_in_time(places: Places) -> bool:
    """Wait for an answer; False when the server has ended meanwhile."""
    give_up_at = time.monotonic() + _PATIENCE_S
    while _ping(places) != Ping.OK:
        launching.reap()
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


def _ping(places: Places) -> Ping:
    return Ping(PGconn.ping(_address(places).encode()))


def _address(places: Places) -> str:
    return conninfo.make_conninfo(
        host=str(places.socket_folder), user=cluster.ROLE, dbname="postgres", connect_timeout=5
    )


def _make_missing_database(places: Places) -> None:
    name = cluster.DATABASE
    with psycopg.connect(_address(places), autocommit=True) as connection:
        if connection.execute("SHOW fsync").fetchone() == ("off",) and not launching.may_be_fast():
            logger.warning(
                "PostgreSQL in %s was started for tests: a power cut may cost the database. "
                "End every process that uses it and start again.",
                places.root,
            )
        if connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone():
            return
        connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        logger.info("Made the database %s in %s.", name, places.root)
