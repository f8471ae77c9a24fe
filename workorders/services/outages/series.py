"""Windows that come back: a series and its rows, made a year ahead by an owed sweep."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from plant.models import Conveyor, Plant, User
from plant.services.register_refusals import FieldRefusal, check_version
from workorders.models import OutageSeries, OutageWindow
from workorders.planning.outages.repeat_rules import RuleRefused, read_rule
from workorders.planning.outages.repeats import days_of, fits
from workorders.planning.outages.series import windows_of
from workorders.repeat_words import fault_words
from workorders.services.outages.weighing import weighed
from workorders.services.outages.windows import (
    LONGEST_WINDOW,
    WindowTimesRefused,
    check_conveyors,
    check_times,
)

logger = logging.getLogger(__name__)

# Windows are rows of their own so far ahead, so that each can move and hold orders.
AHEAD = timedelta(days=366)
# The sweep makes the next ones in batches of weeks, not one every day.
_BATCH = timedelta(days=28)


class RepeatRefused(FieldRefusal):
    code = "repeat_refused"


class SeriesHasEnded(FieldRefusal):
    code = "series_has_ended"


class SeriesEndsTooFar(FieldRefusal):
    code = "series_ends_too_far"


@dataclass(frozen=True)
class SeriesWanted:
    """`rule` as RFC 5545 writes it; times come back by the clock on the plant's wall."""

    name: str
    conveyors: Sequence[Conveyor]
    first_starts_at: datetime
    minutes: int
    rule: str


@transaction.atomic
def begin_series(
    *, plant: Plant, wanted: SeriesWanted, by: User | None, now: datetime, seen: str | None = None
) -> OutageSeries:
    """Begin a series and make its windows for a year ahead.

    Refuses with RepeatRefused, WindowTimesRefused, WindowNeedsConveyors, and with AsksFirst.
    """
    check_conveyors(plant, wanted.conveyors)
    if not 0 < wanted.minutes <= LONGEST_WINDOW // timedelta(minutes=1):
        told = _("Between one minute and %(days)d days.") % {"days": LONGEST_WINDOW.days}
        raise WindowTimesRefused(told, "hours")
    first_ends_at = wanted.first_starts_at + timedelta(minutes=wanted.minutes)
    check_times(wanted.first_starts_at, first_ends_at, now)
    _check_rule(wanted, plant)
    with weighed(plant, seen=seen, now=now) as made:
        series = OutageSeries.objects.create(
            plant=plant,
            name=wanted.name,
            first_starts_at=wanted.first_starts_at,
            minutes=wanted.minutes,
            rule=wanted.rule,
        )
        series.conveyors.set(wanted.conveyors)
        made.windows += _make(series, by, now)
    return series


@transaction.atomic
def end_series(
    *,
    series_id: int,
    last_on: date,
    also_with_orders: bool,
    version: int | None,
    by: User | None,
    now: datetime,
    seen: str | None = None,
) -> int:
    """No window after a day; returns how many that stood are called off.

    Windows with open orders stay unless `also_with_orders`; those orders keep their place, marked.
    Refuses with StaleForm, SeriesHasEnded, SeriesEndsTooFar and AsksFirst.
    """
    series = _lock_series(series_id, version)
    if series.ended_on is not None:
        raise SeriesHasEnded(_("This series has ended already."))
    zone = series.plant.zone_info
    # Beyond what is made, nobody would make the last ones.
    made_until = series.made_until.astimezone(zone).date() if series.made_until else None
    if made_until is not None and last_on > made_until:
        told = _("Its windows are made up to %(day)s; give a day before that.")
        raise SeriesEndsTooFar(told % {"day": made_until}, "last_on")
    after = datetime.combine(last_on + timedelta(days=1), time(), zone)
    rows = OutageWindow.objects.standing().filter(
        series=series, starts_at__gte=max(after, now), ends_at__gt=now
    )
    with weighed(series.plant, seen=seen, now=now):
        if not also_with_orders:
            rows = rows.exclude(pk__in=OutageWindow.objects.with_open_orders().values("pk"))
        ended = list(rows.select_for_update(no_key=True))
        for window in ended:
            window.called_off_at, window.called_off_why = now, _("The series has ended.")
            window.kept_by = by
            window.version += 1
        OutageWindow.objects.bulk_update(
            ended, ["called_off_at", "called_off_why", "kept_by", "version"]
        )
        series.ended_on = last_on
        series.version += 1
        series.save()
    logger.info("Series %s ended on %s by %s, %d windows off.", series.pk, last_on, by, len(ended))
    return len(ended)


def make_owed() -> int:
    """Make the windows of every series that no longer reach a year ahead; returns how many."""
    now = timezone.now()
    owed = OutageSeries.objects.filter(
        Q(made_until__lt=now + AHEAD - _BATCH) | Q(made_until__isnull=True), ended_on__isnull=True
    )
    return sum(_try_owed(series_id, now) for series_id in owed.values_list("pk", flat=True))


def _try_owed(series_id: int, now: datetime) -> int:
    """One that fails stays owed and stops no other."""
    try:
        return _make_owed(series_id, now)
    except Exception:
        logger.exception("The windows of series %s could not be made.", series_id)
        return 0


@transaction.atomic
def _make_owed(series_id: int, now: datetime) -> int:
    # Another worker may be at it: then it is done there.
    rows = OutageSeries.objects.select_for_update(of=("self",), no_key=True, skip_locked=True)
    series = rows.select_related("plant").filter(pk=series_id, ended_on__isnull=True).first()
    return len(_make(series, None, now)) if series is not None else 0


def _make(series: OutageSeries, by: User | None, now: datetime) -> list[OutageWindow]:
    """Rows up to a year ahead; those there already stay, wherever they were moved."""
    zone = series.plant.zone_info
    first = series.first_starts_at.astimezone(zone).replace(tzinfo=None)
    # A day back: the day it was made up to may have been cut in two.
    since = (
        series.made_until.astimezone(zone).date() - timedelta(days=1)
        if series.made_until
        else first.date()
    )
    until = now + AHEAD
    spans = [
        one
        for one in windows_of(
            read_rule(series.rule),
            first,
            series.minutes,
            zone,
            since,
            until.astimezone(zone).date(),
        )
        if one[1] > now
    ]
    known = set(
        series.windows.filter(first_starts_at__in=[starts for starts, _ends in spans]).values_list(
            "first_starts_at", flat=True
        )
    )
    windows = [_window(series, span, by) for span in spans if span[0] not in known]
    made = OutageWindow.objects.bulk_create(windows)
    through = OutageWindow.conveyors.through
    belts = list(series.conveyors.values_list("pk", flat=True))
    through.objects.bulk_create(
        through(outagewindow_id=window.pk, conveyor_id=belt) for window in made for belt in belts
    )
    series.made_until = until
    series.save(update_fields=["made_until"])
    return made


def _window(series: OutageSeries, span: tuple[datetime, datetime], by: User | None) -> OutageWindow:
    return OutageWindow(
        plant=series.plant,
        series=series,
        name=series.name,
        starts_at=span[0],
        ends_at=span[1],
        first_starts_at=span[0],
        kept_by=by,
    )


def _check_rule(wanted: SeriesWanted, plant: Plant) -> None:
    """Refuse what is no rule, and a first day that the rule does not name."""
    try:
        rule = read_rule(wanted.rule)
    except RuleRefused as refused:
        raise RepeatRefused(fault_words(refused), "rule") from refused
    first = plant.day_of(wanted.first_starts_at)
    if fits(rule, first, first):
        return
    later = next(iter(list(days_of(rule, first, first + AHEAD))[1:]), None)
    if later is None:
        raise RepeatRefused(_("By this rule no window comes within a year."), "rule")
    told = _("By this rule no window begins on %(first)s; the next day that fits is %(later)s.")
    raise RepeatRefused(told % {"first": first, "later": later}, "first_starts_at")


def _lock_series(series_id: int, version: int | None) -> OutageSeries:
    series = (
        OutageSeries.objects.select_for_update(of=("self",), no_key=True)
        .select_related("plant")
        .get(pk=series_id)
    )
    check_version(series, version)
    return series
