"""File locks that the kernel gives back when their holder dies, however it dies.

A flock belongs to the open file, not to the process: it ends when the last copy of its descriptor
is closed. Handing a descriptor on to a child therefore makes the lock last as long as the child.
"""

import contextlib
import fcntl
import os
import subprocess
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from plant.config.local_postgres import faults

_LOOK_AGAIN_AFTER_S = 0.02

# Descriptors open for a moment only. A process forked meanwhile from another thread would keep a
# copy and with it the lock, so it closes them.
_passing: set[int] = set()


def _close_passing() -> None:
    for descriptor in _passing:
        os.close(descriptor)
    _passing.clear()


os.register_at_fork(after_in_child=_close_passing)


def opened(path: Path) -> int:
    # O_NOFOLLOW: root must not be led elsewhere by a link.
    flags = os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW
    try:
        return os.open(path, flags, 0o600)
    except OSError as error:
        raise faults.setup_fault(
            f"The lock file {path} cannot be opened ({error.strerror}).",
            "Run this as the user who owns that folder, set LOOPWRIGHT_DATA to one of your own",
        ) from error


def taken(descriptor: int, kind: int) -> bool:
    try:
        fcntl.flock(descriptor, kind | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError as error:
        raise faults.setup_fault(
            f"The file system of the data folder keeps no locks ({error.strerror}).",
            "Set LOOPWRIGHT_DATA to a folder on a disk of this machine",
        ) from error
    return True


def taken_within(descriptor: int, kind: int, patience_s: float) -> bool:
    give_up_at = time.monotonic() + patience_s
    while not taken(descriptor, kind):
        if time.monotonic() > give_up_at:
            return False
        time.sleep(_LOOK_AGAIN_AFTER_S)
    return True


@contextlib.contextmanager
def held(path: Path, patience_s: float) -> Iterator[bool]:
    """Hold the lock alone; yields False when somebody else kept it for all that time."""
    with _opened_in_passing(path) as descriptor:
        yield taken_within(descriptor, fcntl.LOCK_EX, patience_s)


def is_held(path: Path) -> bool:
    with _opened_in_passing(path) as descriptor:
        return not taken(descriptor, fcntl.LOCK_EX)


def start_holding(
    path: Path, command: Sequence[str], **options: Any
) -> subprocess.Popen[bytes] | None:
    """Start a child that holds the lock as long as it or a child of its own lives.

    None when somebody holds it already. `{lock}` in the command becomes the descriptor's number.
    """
    with _opened_in_passing(path) as descriptor:
        if not taken(descriptor, fcntl.LOCK_EX):
            return None
        return subprocess.Popen(  # noqa: S603  # nosec: our own binaries, no shell
            [part.replace("{lock}", str(descriptor)) for part in command],
            pass_fds=(descriptor,),
            start_new_session=True,
            stdin=subprocess.DEVNULL,
            **options,
        )


@contextlib.contextmanager
def _opened_in_passing(path: Path) -> Iterator[int]:
    descriptor = opened(path)
    _passing.add(descriptor)
    try:
        yield descriptor
    finally:
        _passing.discard(descriptor)
        os.close(descriptor)
