"""Sweeps for what is owed: work that stands in a table and whose wake-up may have been lost.

Each app registers its own from `AppConfig.ready`; the worker runs them all, again and again. A
sweep does what it finds owed and says how much that was; with nothing owed it costs one query.
Sweeps that may take minutes are registered as long: a worker runs them beside the short ones, so
that nobody's diagnosis waits for somebody's file; those that wait for other machines are
registered as sending and have a thread of their own as well. Where a table says since when
something is owed, `tell_oldest` names how to find out, for whoever watches the site.
"""

import logging
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

logger = logging.getLogger(__name__)

Sweep = Callable[[], int]
Oldest = Callable[[], datetime | None]


@dataclass(frozen=True)
class Ran:
    """One run of a sweep; `done` is None when it failed."""

    name: str
    began_at: datetime
    seconds: float
    done: int | None


_sweeps: dict[str, Sweep] = {}
_long_sweeps: dict[str, Sweep] = {}
_sending_sweeps: dict[str, Sweep] = {}
_ending = threading.Event()
_oldest: dict[str, Oldest] = {}
_watchers: dict[str, Callable[[Ran], None]] = {}


def register(name: str, sweep: Sweep, *, is_long: bool = False, is_sending: bool = False) -> None:
    kept = _sending_sweeps if is_sending else _long_sweeps if is_long else _sweeps
    kept[name] = sweep


def end_with(stop: threading.Event) -> None:
    """The worker says by what event it is asked to end."""
    global _ending
    _ending = stop


def is_ending() -> bool:
    """For a sweep that goes on for a while: whether to begin nothing more."""
    return _ending.is_set()


def tell_oldest(name: str, oldest: Oldest) -> None:
    """`oldest` says since when the oldest piece that this sweep would do is owed."""
    _oldest[name] = oldest


def oldest_by_name() -> dict[str, Oldest]:
    return dict(_oldest)


def names() -> list[str]:
    return [*_sweeps, *_long_sweeps, *_sending_sweeps]


def watch(name: str, watcher: Callable[[Ran], None]) -> None:
    """Be told of every run, in the process that ran."""
    _watchers[name] = watcher


def run_all() -> int:
    """Run every sweep once and return how much was done; one that fails stops no other."""
    return run_short() + run_long() + run_sending()


def run_short() -> int:
    return _run(_sweeps)


def run_long() -> int:
    return _run(_long_sweeps)


def run_sending() -> int:
    return _run(_sending_sweeps)


def _run(sweeps: Mapping[str, Sweep]) -> int:
    done = 0
    for name, sweep in sweeps.items():
        began_at, began = datetime.now(UTC), time.perf_counter()
        found = _try(name, sweep)
        ran = Ran(name, began_at, time.perf_counter() - began, found)
        for watcher in _watchers.values():
            watcher(ran)
        done += found or 0
    return done


def _try(name: str, sweep: Sweep) -> int | None:
    try:
        return sweep()
    except Exception:
        # What it did not get done is still owed, and the next round tries it again.
        logger.exception("The sweep for %s failed.", name)
        return None
