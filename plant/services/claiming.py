"""Taking up what is owed in the background: one worker for each row, heard of or thought gone.

Rows have `worked_at`, which whoever works at one sets again and again, and count their beginnings.
"""

import time
from datetime import datetime, timedelta
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Model, Q, QuerySet
from django.utils import timezone

Row = TypeVar("Row", bound=Model)

# A worker that has not said anything for so long is gone; it speaks after every second.
SILENCE = timedelta(minutes=3)
# Whatever kills a worker so often would kill the next one, too.
MOST_BEGINNINGS = 3
EVERY_S = 1.0


def is_silent(now: datetime) -> Q:
    """Nobody works at the row, or nobody is left who does."""
    return Q(worked_at__isnull=True) | Q(worked_at__lt=now - SILENCE)


@transaction.atomic
def claim(
    owed: QuerySet[Row], *order: str, beginnings: str = "times_begun", **anew: Any
) -> Row | None:
    """The first owed row that nobody works at, now this worker's; None without one.

    `beginnings` is the field that counts them, `anew` are fields that begin again.
    """
    now = timezone.now()
    free = owed.filter(is_silent(now)).order_by(*order, "pk")
    # Of two workers the second takes the next one.
    one = free.select_for_update(of=("self",), skip_locked=True, no_key=True).first()
    if one is None:
        return None
    anew |= {"worked_at": now, beginnings: getattr(one, beginnings) + 1}
    for name, value in anew.items():
        setattr(one, name, value)
    one.save(update_fields=list(anew))
    return one


class Heartbeat:
    """Says now and then how far the work is, and hears whether it is still wanted."""

    def __init__(self, rows: QuerySet[Any]) -> None:
        """`rows` is the row that is worked at, while it is owed."""
        self._rows = rows
        self._told_at = time.monotonic()

    def __call__(self, **how_far: Any) -> bool:
        """False when somebody asked to stop, or another worker has ended it."""
        now = time.monotonic()
        if now - self._told_at < EVERY_S:
            return True
        self._told_at = now
        wanted = self._rows.filter(stop_asked_at__isnull=True)
        return bool(wanted.update(worked_at=timezone.now(), **how_far))
