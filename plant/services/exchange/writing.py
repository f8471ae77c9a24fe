"""Writing the changes of one feed into files, and all that stands when that is owed.

A file is planned (which changes, which name) and committed; then it is written aside, named, and
only then the cursor moves. Killed anywhere in between, the next run finds the plan and writes the
same changes under the same name again: none is left out, and no half file ever has its name.
"""

from collections.abc import Callable, Iterator
from itertools import islice
from typing import Any

from django.db import transaction
from django.utils import timezone

from plant.exchange import names
from plant.models import (
    ConnectedSystem,
    ExchangeCursor,
    ExchangeFile,
    ExchangeRun,
    ExchangeSetting,
    FeedChange,
)
from plant.models.feed import Feed
from plant.selectors import feed_entries
from plant.selectors.feed_pages import Page, Place
from plant.selectors.standing_records import standing_records
from plant.services import feed_reading
from plant.services.exchange import folders, rendering
from plant.services.exchange.telling import Telling
from plant.wording.refusals import Missed

CHANGES_A_FILE = 5_000
ROWS_A_FILE = 20_000


class Ended(Exception):
    """Somebody pressed stop, or another worker has ended it."""


class FeedWriting:
    """One feed of one run into its folder; `wanted` is asked again and again, and raises Ended."""

    def __init__(
        self, run: ExchangeRun, feed: Feed, folder: int, wanted: Callable[[], None]
    ) -> None:
        self._run, self._setting, self._feed = run, run.setting, feed
        self._folder, self._wanted = folder, wanted
        self._telling = Telling(run.setting.system)

    def write(self) -> int:
        """All there is to tell; returns how many files. Refuses with ChangesNoLongerKept."""
        written = self._finish_planned()
        if self._cursor().owes_snapshot:
            written += self._write_snapshot()
        has_more = True
        while has_more:
            self._wanted()
            page, cursor = self._page()
            has_more = page.has_more
            written += self._write_page(page, cursor)
        return written

    @property
    def missed(self) -> tuple[ConnectedSystem | None, set[Missed]]:
        """Words that had no answer in those of the system."""
        return self._setting.system, self._telling.missed

    def _cursor(self) -> ExchangeCursor:
        return ExchangeCursor.objects.get(setting=self._setting, feed=self._feed)

    def _changes(self) -> Any:
        changes = FeedChange.objects.filter(plant_id=self._setting.plant_id, feed=self._feed)
        return (
            changes.exclude(by_key=self._setting.acts_as) if self._setting.spares_own else changes
        )

    def _page(self) -> tuple[Page, ExchangeCursor]:
        cursor = self._cursor()
        seen = Place(cursor.number, cursor.at)
        return feed_reading.read_changes(self._changes(), seen, CHANGES_A_FILE), cursor

    def _write_page(self, page: Page, cursor: ExchangeCursor) -> int:
        if not page.rows:
            rows = ExchangeCursor.objects.filter(pk=cursor.pk, number=cursor.number)
            rows.update(number=page.after.number, at=page.after.at)
            return 0
        name = names.of_changes(
            feed_entries.WIRE_NAMES[self._feed],
            page.rows[0][0],
            page.rows[-1][0],
            self._setting.format,
        )
        planned = ExchangeFile.objects.create(
            setting=self._setting,
            run=self._run,
            feed=self._feed,
            name=name,
            after_number=cursor.number,
            after_at=cursor.at,
            last_number=page.rows[-1][0],
            until_number=page.after.number,
            until_at=page.after.at,
            rows=len(page.rows),
            planned_at=timezone.now(),
        )
        self._write_planned(planned, page.rows)
        return 1

    def _finish_planned(self) -> int:
        """What a worker that died had begun."""
        planned = self._setting.files.filter(feed=self._feed, written_at=None).first()
        if planned is None:
            return 0
        # Changes stay as they are: between these two places lie the very same.
        changes = self._changes().filter(number__lte=planned.last_number)
        seen = Place(planned.after_number, planned.after_at)
        page = feed_reading.read_changes(changes, seen, planned.rows)
        self._write_planned(planned, page.rows)
        return 1

    def _write_planned(self, planned: ExchangeFile, rows: list[tuple[Any, ...]]) -> None:
        plant = self._setting.plant.code
        changes = (feed_entries.entry_of(row, plant) for row in rows)
        content = rendering.rendered(changes, self._feed, planned.format, self._telling)
        size = folders.put(self._folder, planned.name, content)
        self._keep(planned, size)

    @transaction.atomic
    def _keep(self, planned: ExchangeFile, size: int) -> None:
        """The file counts and the cursor moves, both or neither, and once."""
        rows = ExchangeFile.objects.filter(pk=planned.pk, written_at=None)
        if not rows.update(written_at=timezone.now(), bytes=size, run=self._run):
            raise Ended
        ExchangeCursor.objects.filter(setting=self._setting, feed=self._feed).update(
            number=planned.until_number, at=planned.until_at
        )

    def _write_snapshot(self) -> int:
        """Whatever changes while it is written is told by the changes after it, too."""
        here = feed_reading.now_in_feed()
        self._forget_unfinished()
        parts = list(self._snapshot_parts(here))
        made = []
        wire = feed_entries.WIRE_NAMES[self._feed]
        for place, (part, count) in enumerate(parts, start=1):
            name = names.of_snapshot(wire, here.number, place, len(parts), self._setting.format)
            folders.settle(self._folder, part, name)
            made.append(self._told_snapshot(here, name, part, count))
        self._keep_snapshot(here, made)
        return len(made)

    def _snapshot_parts(self, here: Place) -> Iterator[tuple[folders.Part, int]]:
        at = feed_entries.wire_time(timezone.now())
        plant = self._setting.plant
        name = names.of_snapshot(self._feed.value, here.number, 0, 0, self._setting.format)
        rows = standing_records(plant, self._feed)
        changes = (feed_entries.standing_entry(one, here.number, at, plant.code) for one in rows)
        is_first = True
        # Nothing that stands makes a file, too, so that nobody waits for it.
        while (some := list(islice(changes, ROWS_A_FILE))) or is_first:
            is_first = False
            self._wanted()
            content = rendering.rendered(some, self._feed, self._setting.format, self._telling)
            yield folders.write_part(self._folder, name, content), len(some)

    def _told_snapshot(
        self, here: Place, name: str, part: folders.Part, count: int
    ) -> ExchangeFile:
        now = timezone.now()
        return ExchangeFile(
            setting=self._setting,
            run=self._run,
            feed=self._feed,
            kind=ExchangeFile.Kind.SNAPSHOT,
            name=name,
            last_number=here.number,
            until_number=here.number,
            until_at=here.at,
            rows=count,
            bytes=part.bytes,
            planned_at=now,
            written_at=now,
        )

    @transaction.atomic
    def _keep_snapshot(self, here: Place, made: list[ExchangeFile]) -> None:
        cursors = ExchangeCursor.objects.filter(
            setting=self._setting, feed=self._feed, owes_snapshot=True
        )
        if not cursors.update(number=here.number, at=here.at, owes_snapshot=False, lost_at=None):
            raise Ended
        ExchangeFile.objects.bulk_create(made)

    def _forget_unfinished(self) -> None:
        """Parts of a snapshot that a worker that died did not finish would never be whole."""
        wire = feed_entries.WIRE_NAMES[self._feed]
        there = [one.name for one in folders.listed(self._folder, 100_000)]
        found = {name for name in there if names.is_snapshot_of(wire, name)}
        told = self._setting.files.filter(name__in=found).values_list("name", flat=True)
        for name in found - set(told):
            folders.remove(self._folder, name)


def sign_of_life(folder: int, setting: ExchangeSetting) -> None:
    """Written over each time: that somebody looked, and how far each feed was written."""
    told = {
        "at": feed_entries.wire_time(timezone.now()),
        "plant": setting.plant.code,
        "system": setting.name,
        "written_up_to": {
            feed_entries.WIRE_NAMES[Feed(cursor.feed)]: cursor.number
            for cursor in setting.cursors.all()
        },
    }
    folders.put(folder, "sign-of-life.json", [rendering.one_line(told)])
