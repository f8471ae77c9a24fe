"""Calendars sent for outage windows: kept once they can be read, taken in whole or not at all."""

import logging
from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plant.errors import DomainError
from plant.models import Conveyor, Plant, User
from workorders.calendar_words import refused_words
from workorders.models import CalendarFile, OutageWindow
from workorders.planning.outages.calendar_file.comparing import GONE_SAID, Change, Verdict
from workorders.planning.outages.calendar_file.events import read_calendar
from workorders.planning.outages.calendar_file.faults import CalendarRefused
from workorders.selectors.outages.calendars import Preview, preview_of
from workorders.services.outages.weighing import weighed

logger = logging.getLogger(__name__)

# The latest are kept, so that somebody may look where a window came from.
KEPT_A_PLANT = 20
_OFF = frozenset({Change.CALLED_OFF, Change.GONE})


class CalendarNotRead(DomainError):
    code = "calendar_not_read"


class CalendarChangedMeanwhile(DomainError):
    code = "calendar_changed_meanwhile"


class RefusedEventsStand(DomainError):
    code = "refused_events_stand"


class NothingInCalendar(DomainError):
    code = "nothing_in_calendar"


@transaction.atomic
def send_calendar(
    *,
    plant: Plant,
    file_name: str,
    content: bytes,
    calendar_name: str = "",
    conveyors: Sequence[Conveyor] = (),
    by: User | None,
    now: datetime,
) -> CalendarFile:
    """Keep a calendar beside the windows, which stay as they are.

    Without a name it has the one it calls itself, else the file's. Refuses with CalendarNotRead.
    """
    file_name = "".join(one for one in file_name if one.isprintable())[-200:]
    try:
        read = read_calendar(content, plant.zone_info)
    except CalendarRefused as refused:
        raise CalendarNotRead(refused_words(refused.refused)) from refused
    sent = CalendarFile.objects.create(
        plant=plant,
        calendar_name=calendar_name or read.name or file_name[:120] or _("calendar"),
        file_name=file_name,
        text=content.decode("utf-8-sig"),
        sent_at=now,
        sent_by=by,
    )
    sent.conveyors.set(conveyors)
    # What is too much once it is laid out is said now, not on the next page.
    look_at(sent, now)
    rows = CalendarFile.objects.filter(plant=plant)
    kept = rows.order_by("-sent_at", "-pk").values_list("pk", flat=True)[:KEPT_A_PLANT]
    rows.exclude(pk__in=list(kept)).delete()
    return sent


@transaction.atomic
def take_in(
    *,
    calendar_id: int,
    mark: str,
    leaves_refused: bool,
    by: User | None,
    now: datetime,
    seen: str | None = None,
) -> CalendarFile:
    """Put in, move and call off what the preview with this mark said; all of it or nothing.

    Refuses with CalendarChangedMeanwhile when that is not what would happen now, with
    RefusedEventsStand, NothingInCalendar and AsksFirst.
    """
    sent = CalendarFile.objects.select_related("plant").get(pk=calendar_id)
    # Of two calendars taken in at once the second is compared with what the first left.
    Plant.objects.select_for_update(no_key=True).get(pk=sent.plant_id)
    preview = look_at(sent, now)
    if preview.mark != mark:
        raise _changed_meanwhile()
    _hold(preview)
    _check(preview, leaves_refused=leaves_refused)
    with weighed(sent.plant, seen=seen, now=now) as made:
        made.windows += _apply(sent, preview, by, now)
    sent.taken_at, sent.taken_by = now, by
    sent.counts = {change.value: count for change, count in preview.counts.items()}
    sent.save()
    logger.info("Calendar %s taken in by %s: %s.", sent.pk, by, sent.counts)
    return sent


def look_at(sent: CalendarFile, now: datetime) -> Preview:
    """As things stand now; refuses with CalendarNotRead what has become too much since."""
    try:
        return preview_of(sent, now)
    except CalendarRefused as refused:
        raise CalendarNotRead(refused_words(refused.refused)) from refused


def _hold(preview: Preview) -> None:
    """Whoever moves one of these windows by hand is not written over."""
    rows = OutageWindow.objects.select_for_update(no_key=True).filter(pk__in=preview.rows)
    held = dict(rows.order_by("pk").values_list("pk", "version"))
    if held != {key: row.version for key, row in preview.rows.items()}:
        raise _changed_meanwhile()


def _changed_meanwhile() -> CalendarChangedMeanwhile:
    return CalendarChangedMeanwhile(
        _("What the calendar would change is different by now. Look at it again.")
    )


def _check(preview: Preview, *, leaves_refused: bool) -> None:
    if preview.refused and not leaves_refused:
        count = len(preview.refused)
        told = ngettext(
            "%(count)d event cannot be read. Mend it in the calendar and send it again, or say "
            "that it is left out.",
            "%(count)d events cannot be read. Mend them in the calendar and send it again, or "
            "say that they are left out.",
            count,
        )
        raise RefusedEventsStand(told % {"count": count})
    if not preview.differing:
        raise NothingInCalendar(_("Nothing of this calendar differs from what stands."))


def _apply(
    sent: CalendarFile, preview: Preview, by: User | None, now: datetime
) -> list[OutageWindow]:
    """The windows that now stand somewhere."""
    belts = {one.tag: one for one in sent.plant.conveyors.all()}
    fresh = [one for one in preview.verdicts if one.change is Change.NEW]
    made = _make(sent, fresh, belts, by)
    for verdict in preview.verdicts:
        if verdict.standing is None:
            continue
        row = preview.rows[verdict.standing.key]
        if verdict.change is Change.UNCHANGED:
            _note_said(row, verdict)
            continue
        _change(sent, row, verdict, belts, now)
        row.kept_by = by
        row.version += 1
        row.save()
        made.append(row)
    return made


def _make(
    sent: CalendarFile,
    verdicts: Iterable[Verdict],
    belts: dict[str, Conveyor],
    by: User | None,
) -> list[OutageWindow]:
    wanted = [one.wanted for one in verdicts if one.wanted is not None]
    made = OutageWindow.objects.bulk_create(
        OutageWindow(
            plant=sent.plant,
            name=one.occurrence.name or sent.calendar_name,
            starts_at=one.occurrence.starts_at,
            ends_at=one.occurrence.ends_at,
            calendar_uid=one.occurrence.uid,
            calendar_name=sent.calendar_name,
            calendar_said=one.said(),
            first_starts_at=one.occurrence.id_at,
            kept_by=by,
        )
        for one in wanted
    )
    through = OutageWindow.conveyors.through
    through.objects.bulk_create(
        through(outagewindow_id=window.pk, conveyor_id=belts[tag].pk)
        for window, one in zip(made, wanted, strict=True)
        for tag in one.tags
    )
    return list(made)


def _change(
    sent: CalendarFile,
    row: OutageWindow,
    verdict: Verdict,
    belts: dict[str, Conveyor],
    now: datetime,
) -> None:
    row.calendar_name = sent.calendar_name
    row.calendar_said = verdict.wanted.said() if verdict.wanted else dict(GONE_SAID)
    if verdict.change in _OFF:
        row.called_off_at = now
        row.called_off_why = _("Called off in the calendar %(name)s.") % {
            "name": sent.calendar_name
        }
        row.called_off_why = row.called_off_why[:200]
        return
    assert verdict.wanted is not None
    row.called_off_at, row.called_off_why = None, ""
    row.name = verdict.wanted.occurrence.name or sent.calendar_name
    row.starts_at = verdict.wanted.occurrence.starts_at
    row.ends_at = verdict.wanted.occurrence.ends_at
    row.conveyors.set([belts[tag] for tag in verdict.wanted.tags])


def _note_said(row: OutageWindow, verdict: Verdict) -> None:
    said = verdict.wanted.said() if verdict.wanted else dict(GONE_SAID)
    if row.calendar_said != said:
        row.calendar_said = said
        row.save(update_fields=["calendar_said"])
