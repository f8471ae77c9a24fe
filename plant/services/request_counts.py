"""Requests counted by each process and added up in one table, so that any process can tell all.

A process writes down what it counted with the first request after some seconds, faults at once.
"""

import logging
import threading
import time
from bisect import bisect_left
from itertools import accumulate

from django.db import DatabaseError, connection, transaction

from plant.models.site_counts import BOUNDS_S

logger = logging.getLogger(__name__)

WRITE_EVERY_S = 10.0
_FAULT = 500
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})
_ADD = """
INSERT INTO plant_requestcount AS kept (route, method, status, count, seconds, under)
VALUES (%s, %s, %s, %s, %s, %s)
ON CONFLICT (route, method, status) DO UPDATE SET
    count = kept.count + EXCLUDED.count,
    seconds = kept.seconds + EXCLUDED.seconds,
    under = ARRAY(
        SELECT a + b FROM unnest(kept.under, EXCLUDED.under) WITH ORDINALITY AS t (a, b, place)
        ORDER BY place
    )
"""

_Key = tuple[str, str, int]


class _Sum:
    def __init__(self) -> None:
        self.count = 0
        self.seconds = 0.0
        # Requests by the class their duration fell in; the last one is beyond all bounds.
        self.by_class = [0] * (len(BOUNDS_S) + 1)

    def add(self, seconds: float) -> None:
        self.count += 1
        self.seconds += seconds
        self.by_class[bisect_left(BOUNDS_S, seconds)] += 1

    def under(self) -> list[int]:
        return list(accumulate(self.by_class[:-1]))


class Counts:
    """Of one process; its threads add to it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._sums: dict[_Key, _Sum] = {}
        self._written_at = time.monotonic()

    def add(self, *, route: str, method: str, status: int, seconds: float) -> None:
        """Count one request, and write when it is time or something failed."""
        # Anything may stand where a method stands; a label must not grow with it.
        key = (route[:200], method if method in _METHODS else "other", status)
        with self._lock:
            self._sums.setdefault(key, _Sum()).add(seconds)
            is_due = time.monotonic() - self._written_at >= WRITE_EVERY_S
        if is_due or status >= _FAULT:
            self.write()

    def write(self) -> None:
        """Add to the table what was counted since the last time; kept for the next on failure."""
        with self._lock:
            sums, self._sums = self._sums, {}
            self._written_at = time.monotonic()
        if not sums:
            return
        try:
            _write(sums)
        except DatabaseError:
            logger.exception("Requests could not be counted.")
            self._take_back(sums)

    def _take_back(self, sums: dict[_Key, _Sum]) -> None:
        with self._lock:
            for key, one in sums.items():
                kept = self._sums.setdefault(key, _Sum())
                kept.count += one.count
                kept.seconds += one.seconds
                kept.by_class = [a + b for a, b in zip(kept.by_class, one.by_class, strict=True)]


def _write(sums: dict[_Key, _Sum]) -> None:
    # In one order, so that two processes cannot wait for each other.
    rows = [(*key, one.count, one.seconds, one.under()) for key, one in sorted(sums.items())]
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.executemany(_ADD, rows)


of_this_process = Counts()
