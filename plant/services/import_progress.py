"""Saying how far a long piece of work is, and hearing that somebody wants it stopped."""

import threading
import time
from collections.abc import Callable

from django.db import connection
from django.utils import timezone

from plant.models import RegisterImport

_EVERY_S = 1.0


class Stopped(Exception):
    """Somebody pressed stop; what was done so far is to be undone."""


class Progress:
    """Handed to the work as its tick; `whole` is how many rows there are, 0: not known yet."""

    def __init__(self, register_import: RegisterImport, whole: int = 0) -> None:
        self._pk, self.whole = register_import.pk, whole
        self._told_at = 0.0

    def __call__(self, done: int) -> None:
        now = time.monotonic()
        if now - self._told_at < _EVERY_S:
            return
        self._told_at = now
        _outside(lambda: self._tell(done))
        # What another connection has committed is seen within a transaction, too.
        asked = RegisterImport.objects.filter(pk=self._pk).values_list("stop_asked_at", flat=True)
        if asked.first():
            raise Stopped

    def _tell(self, done: int) -> None:
        RegisterImport.objects.filter(pk=self._pk).update(
            rows_done=done, rows_all=self.whole, worked_at=timezone.now()
        )


def _outside(work: Callable[[], None]) -> None:
    """Do it by a connection of its own, so that others see it before the transaction ends."""
    if not connection.in_atomic_block:
        work()
        return

    def alone() -> None:
        try:
            with connection.cursor() as cursor:
                # Nobody waits for a progress bar.
                cursor.execute("SET lock_timeout = '500ms'")
            work()
        finally:
            connection.close()

    one = threading.Thread(target=alone)
    one.start()
    one.join()
