"""Slots: how many may do something at the same time, over all processes of the site.

Each is a lock of the database session: one who dies in the middle gives his slot back.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection

# Any number that nothing else locks under.
SLOTS = 0x4657


@contextmanager
def one_of(name: str, many: int) -> Iterator[bool]:
    """Hold one of `many` slots of that name; False when all of them are taken."""
    for number in range(many):
        slot = f"{name} {number}"
        if _asks("SELECT pg_try_advisory_lock(%s, hashtext(%s))", slot):
            break
    else:
        yield False
        return
    try:
        yield True
    finally:
        _asks("SELECT pg_advisory_unlock(%s, hashtext(%s))", slot)


def _asks(question: str, slot: str) -> bool:
    with connection.cursor() as cursor:
        cursor.execute(question, [SLOTS, slot])
        return bool(cursor.fetchone()[0])
