"""How the sweeps went, written down by whichever worker ran them."""

import logging
import time

from django.db import DatabaseError, connection

from plant.owed import Ran

logger = logging.getLogger(__name__)

# A sweep that found nothing is noted no more often: there are several of them every two seconds.
NOTE_EVERY_S = 15.0
_ADD = """
INSERT INTO plant_sweepcount AS kept (name, ran_at, succeeded_at, seconds, done, failures)
VALUES (%(name)s, %(ran_at)s, CASE WHEN %(failed)s = 0 THEN clock_timestamp() END, %(seconds)s,
    %(done)s, %(failed)s)
ON CONFLICT (name) DO UPDATE SET
    ran_at = GREATEST(kept.ran_at, EXCLUDED.ran_at),
    succeeded_at = COALESCE(EXCLUDED.succeeded_at, kept.succeeded_at),
    seconds = EXCLUDED.seconds,
    done = kept.done + EXCLUDED.done,
    failures = kept.failures + EXCLUDED.failures
"""
_noted_at: dict[str, float] = {}


def note(ran: Ran) -> None:
    """Note a run that did something or failed at once, others now and then."""
    is_news = ran.done is None or ran.done > 0
    if not is_news and time.monotonic() - _noted_at.get(ran.name, -NOTE_EVERY_S) < NOTE_EVERY_S:
        return
    try:
        with connection.cursor() as cursor:
            cursor.execute(
                _ADD,
                {
                    "name": ran.name,
                    "ran_at": ran.began_at,
                    "seconds": ran.seconds,
                    "done": ran.done or 0,
                    "failed": int(ran.done is None),
                },
            )
        _noted_at[ran.name] = time.monotonic()
    except DatabaseError:
        # The work itself is done; of a database that is gone the sweeps speak themselves.
        logger.warning("How the sweep for %s went could not be written down.", ran.name)
