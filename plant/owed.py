"""Sweeps for what is owed: work that stands in a table and whose wake-up may have been lost.

Each app registers its own from `AppConfig.ready`; the worker runs them all, again and again. A
sweep does what it finds owed and says how much that was; with nothing owed it costs one query.
"""

import logging
from collections.abc import Callable

logger = logging.getLogger(__name__)

Sweep = Callable[[], int]

_sweeps: dict[str, Sweep] = {}


def register(name: str, sweep: Sweep) -> None:
    _sweeps[name] = sweep


def run_all() -> int:
    """Run every sweep once and return how much was done; one that fails stops no other."""
    done = 0
    for name, sweep in _sweeps.items():
        try:
            done += sweep()
        except Exception:
            # What it did not get done is still owed, and the next round tries it again.
            logger.exception("The sweep for %s failed.", name)
    return done
