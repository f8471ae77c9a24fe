"""The worker without a broker: does what is owed, rests, looks again."""

import logging
import threading

from django.db import close_old_connections

from plant import owed

logger = logging.getLogger(__name__)

PAUSE_S = 2.0


def work_until(stop: threading.Event, pause_s: float = PAUSE_S) -> None:
    """Run what is owed every pause_s until stop is set. A round that fails is tried again."""
    while not stop.is_set():
        # A connection the server has closed meanwhile is of no use, and says so only when used.
        close_old_connections()
        done = owed.run_all()
        close_old_connections()
        if done:
            logger.info("Did %d pieces of owed work.", done)
        stop.wait(pause_s)
