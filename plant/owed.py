"""Sweeps for what is owed: work that stands in a table and whose wake-up may have been lost.

Each app registers its own from `AppConfig.ready`; the worker runs them all, again and again. A
sweep does what it finds owed and says how much that was; with nothing owed it costs one query.
Sweeps that may take minutes are registered as long: a worker runs them beside the short ones, so
that nobody's diagnosis waits for somebody's file; those that wait for other machines are
registered as sending and have a thread of their own as well.
"""

import logging
import threading
from collections.abc import Callable, Mapping

logger = logging.getLogger(__name__)

Sweep = Callable[[], int]

_sweeps: dict[str, Sweep] = {}
_long_sweeps: dict[str, Sweep] = {}
_sending_sweeps: dict[str, Sweep] = {}
_ending = threading.Event()


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
        try:
            done += sweep()
        except Exception:
            # What it did not get done is still owed, and the next round tries it again.
            logger.exception("The sweep for %s failed.", name)
    return done
