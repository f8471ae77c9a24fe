"""Stops PostgreSQL some seconds after its last user is gone; a process of its own, run by its path.

    python watch.py WATCH_LOCK_DESCRIPTOR USERS_LOCK SERVER_LOCK POSTMASTER_PID LINGER_S UID GID

Standard library only, and little of it: it waits as long as the site runs.
"""

import contextlib
import fcntl
import os
import signal
import sys
import time

LOOK_AGAIN_AFTER_S = 0.05
# A fast shutdown rolls back and writes a checkpoint; after this long, crash recovery is quicker.
FAST_SHUTDOWN_PATIENCE_S = 120.0


def opened(path: str) -> int:
    # Made here when we are quicker than the start of the server, which comes after ours.
    return os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o600)


def taken(lock: int) -> bool:
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def wait_until_unused(users: int, linger_s: float) -> None:
    """Return, holding the lock alone, when for linger_s nobody has used the server."""
    while True:
        fcntl.flock(users, fcntl.LOCK_EX)
        last_joined = os.fstat(users).st_mtime_ns
        # Whoever comes while we linger must find the door open.
        fcntl.flock(users, fcntl.LOCK_UN)
        time.sleep(linger_s)
        if not taken(users):
            continue
        if os.fstat(users).st_mtime_ns == last_joined:
            return
        # Somebody came and went meanwhile: linger anew.


def stop_server(server: int, postmaster_pid: str) -> None:
    """Ask for a fast shutdown and wait for the end; nobody can join meanwhile."""
    what, next_at = signal.SIGINT, time.monotonic()
    while not taken(server):
        number = number_in(postmaster_pid)
        if number is not None and time.monotonic() >= next_at:
            send(number, what)
            what, next_at = signal.SIGQUIT, time.monotonic() + FAST_SHUTDOWN_PATIENCE_S
        time.sleep(LOOK_AGAIN_AFTER_S)


def number_in(postmaster_pid: str) -> int | None:
    """None while a server that was cut short in its start has not written it yet."""
    try:
        with open(postmaster_pid) as file:
            return int(file.readline())
    except (OSError, ValueError):
        return None


def send(number: int, what: signal.Signals) -> None:
    with contextlib.suppress(ProcessLookupError):  # gone by itself
        os.kill(number, what)


def become(uid: int, gid: int) -> None:
    """Root watches as the server's user, so that it can only ever signal that user's processes."""
    if os.geteuid() == 0 and uid != 0:
        os.setgroups([])
        os.setgid(gid)
        os.setuid(uid)


def main(arguments: list[str]) -> None:
    watch, users, server = int(arguments[0]), opened(arguments[1]), opened(arguments[2])
    postmaster_pid, linger_s = arguments[3], float(arguments[4])
    become(uid=int(arguments[5]), gid=int(arguments[6]))
    wait_until_unused(users, linger_s)
    stop_server(server, postmaster_pid)
    # First this one: the next user, let in by the end of ours, must see that there is no watcher.
    os.close(watch)
    os.close(users)


if __name__ == "__main__":
    main(sys.argv[1:])
