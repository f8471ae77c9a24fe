"""The worker without a broker: does what is owed, rests, looks again."""

import logging
import threading
from collections.abc import Callable

from django.db import close_old_connections, connections

from plant import owed

logger = logging.getLogger(__name__)

PAUSE_S = 2.0


def work_until(stop: threading.Event, pause_s: float = PAUSE_S) -> None:
    """Run what is owed every pause_s until stop is set. A round that fails is tried again.

    Long work and sending have a thread each; a round that has begun is ended before this returns.
    """
    owed.end_with(stop)
    besides = [
        threading.Thread(target=_rounds_beside, args=(run, stop, pause_s), name=name)
        for name, run in (("long work", owed.run_long), ("sending", owed.run_sending))
    ]
    for one in besides:
        one.start()
    _rounds(owed.run_short, stop, pause_s)
    for one in besides:
        one.join()


def _rounds(run: Callable[[], int], stop: threading.Event, pause_s: float) -> None:
    while not stop.is_set():
        # A connection the server has closed meanwhile is of no use, and says so only when used.
        close_old_connections()
        done = run()
        close_old_connections()
        if done:
            logger.info("Did %d pieces of owed work.", done)
        stop.wait(pause_s)


def _rounds_beside(run: Callable[[], int], stop: threading.Event, pause_s: float) -> None:
    try:
        _rounds(run, stop, pause_s)
    finally:
        # Each thread has connections of its own, which nobody else would give back.
        connections.close_all()
