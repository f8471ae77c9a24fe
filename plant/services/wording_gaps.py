"""Words that were met and had no answer, kept so that somebody can fill them in."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db import connection

from plant.models import ConnectedSystem, Conveyor, WordingGap
from plant.wording.refusals import TAGS, Missed

# A feed that is read every second would else write as often.
_NOTE_EVERY = timedelta(minutes=1)
# Whoever sends nonsense shall not fill a table with it.
MOST_KEPT = 500
_LONGEST = 200
_NOTE = """
INSERT INTO plant_wordinggap (system_id, way, part, word, times, first_at, last_at)
VALUES (%s, %s, %s, %s, 1, %s, %s)
ON CONFLICT (system_id, way, part, word) DO UPDATE
SET times = plant_wordinggap.times + 1, last_at = EXCLUDED.last_at
WHERE plant_wordinggap.last_at <= %s
"""


def note_gaps(
    *, system: ConnectedSystem, way: str, missed: Iterable[Missed], now: datetime
) -> None:
    """Count each word once a minute at most; our own tags that came in are no gap."""
    words = {(one.part, one.word.replace("\x00", "")[:_LONGEST]) for one in missed}
    if way == WordingGap.Way.IN:
        words = _without_our_tags(system, words)
    if not words:
        return
    stale = now - _NOTE_EVERY
    with connection.cursor() as cursor:
        for part, word in sorted(words):
            cursor.execute(_NOTE, (system.pk, way, part, word, now, now, stale))
    _drop_oldest(system)


def _without_our_tags(system: ConnectedSystem, words: set[tuple[str, str]]) -> set[tuple[str, str]]:
    tags = {word.casefold() for part, word in words if part == TAGS}
    if not tags:
        return words
    known = Conveyor.objects.filter(plant_id=system.plant_id).values_list("tag", flat=True)
    ours = tags & {tag.casefold() for tag in known}
    return {(part, word) for part, word in words if part != TAGS or word.casefold() not in ours}


def _drop_oldest(system: ConnectedSystem) -> None:
    rows = WordingGap.objects.filter(system=system).order_by("-last_at", "-pk")
    spare = list(rows.values_list("pk", flat=True)[MOST_KEPT : MOST_KEPT + 1000])
    if spare:
        WordingGap.objects.filter(pk__in=spare).delete()
