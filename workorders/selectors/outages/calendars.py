"""What a calendar that was sent would change, as things stand."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time
from hashlib import sha256

from django.db.models import Q

from workorders.models import CalendarFile, OutageWindow
from workorders.planning.outages.calendar_file.comparing import (
    Change,
    Standing,
    Verdict,
    Wanted,
    compare,
)
from workorders.planning.outages.calendar_file.events import read_calendar
from workorders.planning.outages.calendar_file.faults import CalendarFault, Refused
from workorders.planning.outages.calendar_file.laying_out import HORIZON, Occurrence, lay_out
from workorders.planning.outages.calendar_file.naming import TagFinder


@dataclass(frozen=True)
class Preview:
    """`rows` are the windows of the verdicts by key; `until` is where laying out ends."""

    verdicts: tuple[Verdict, ...]
    refused: tuple[Refused, ...]
    rows: dict[int, OutageWindow]
    until: datetime

    @property
    def counts(self) -> dict[Change, int]:
        found = Counter(one.change for one in self.verdicts)
        return {change: found[change] for change in Change}

    @property
    def differing(self) -> list[Verdict]:
        """All but the unchanged, in the order of time."""
        return sorted(
            (one for one in self.verdicts if one.change is not Change.UNCHANGED), key=_begin
        )

    @property
    def mark(self) -> str:
        """Another one when anything of it is different."""
        said = [
            f"{one.change} {one.standing.key if one.standing else ''} "
            f"{one.wanted.said() if one.wanted else ''}"
            for one in self.verdicts
        ]
        said += [f"{one.fault} {one.line}" for one in self.refused]
        return sha256("\n".join(said).encode()).hexdigest()[:32]


def preview_of(sent: CalendarFile, now: datetime) -> Preview:
    """Compared with the windows that stand; three queries.

    Raises CalendarRefused, though only of a file that was sent while limits were wider.
    """
    plant = sent.plant
    today = plant.day_of(now)
    until = datetime.combine(today, time(), plant.zone_info) + HORIZON
    read = read_calendar(sent.text.encode(), plant.zone_info)
    occurrences, beyond = lay_out(read.events, now, until)
    wanted, nowhere = _with_conveyors(sent, occurrences)
    refused = (*read.refused, *beyond, *nowhere)
    uids = {one.uid for one in read.events} | {one.uid for one in refused}
    rows = _rows(sent, uids, now, until)
    kept = {one.uid for one in refused}
    gone_from = {
        one.pk
        for one in rows
        if one.ends_at > now and one.starts_at < until and one.calendar_uid not in kept
    }
    standing = [_standing(one) for one in rows]
    return Preview(
        verdicts=tuple(compare(wanted, standing, gone_from=gone_from, zone=plant.zone_info)),
        refused=tuple(sorted(refused, key=lambda one: one.line or 0)),
        rows={one.pk: one for one in rows},
        until=until,
    )


def _with_conveyors(
    sent: CalendarFile, occurrences: Sequence[Occurrence]
) -> tuple[list[Wanted], list[Refused]]:
    """By the tags in the words of each; else what was chosen for the file; else refused, once."""
    finder = TagFinder(sent.plant.conveyors.values_list("tag", flat=True))
    chosen = frozenset(one.tag for one in sent.conveyors.all())
    wanted: list[Wanted] = []
    refused: dict[int, Refused] = {}
    for one in occurrences:
        if tags := finder.tags_in(one.words) or chosen:
            wanted.append(Wanted(one, tags))
        else:
            fault = CalendarFault.NO_CONVEYOR
            refused[one.line] = Refused(fault, one.line, name=one.name, uid=one.uid)
    return wanted, list(refused.values())


def _rows(sent: CalendarFile, uids: set[str], now: datetime, until: datetime) -> list[OutageWindow]:
    same_calendar = Q(calendar_name=sent.calendar_name, ends_at__gt=now, starts_at__lt=until) & ~Q(
        calendar_uid=""
    )
    return list(
        OutageWindow.objects.filter(
            Q(calendar_uid__in=uids - {""}) | same_calendar, plant=sent.plant
        ).prefetch_related("conveyors")
    )


def _standing(row: OutageWindow) -> Standing:
    return Standing(
        key=row.pk,
        uid=row.calendar_uid,
        id_at=row.first_starts_at,
        starts_at=row.starts_at,
        ends_at=row.ends_at,
        name=row.name,
        tags=frozenset(one.tag for one in row.conveyors.all()),
        is_off=row.called_off_at is not None,
        said=row.calendar_said,
    )


def _begin(verdict: Verdict) -> datetime:
    if verdict.wanted is not None:
        return verdict.wanted.occurrence.starts_at
    assert verdict.standing is not None
    return verdict.standing.starts_at
