"""The outage sheet: days with windows and crews, loads, clashes, and what has no place yet."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from plant.models import Plant
from workorders.clash_words import clash_words
from workorders.models import OutageWindow, WorkOrder
from workorders.planning.outages import plan as planned
from workorders.planning.outages.clashes import clashes_of
from workorders.planning.outages.load import Load, crew_loads, window_loads
from workorders.planning.outages.minutes import instant_of, minute_of
from workorders.planning.outages.plan import Span
from workorders.planning.outages.ruling import Along, along, strip_around
from workorders.selectors.outage_plan import plan_from, span_of
from workorders.selectors.outage_rows import SheetRows, rows_of
from workorders.selectors.part_supply import supply_of_orders
from workorders.selectors.sheet_strips import CrewLine, Standing, Strip, strip_of
from workorders.selectors.sheet_tray import Waiting, waiting_orders
from workorders.span_words import span_words

_ROOM = 60
# Work left behind by a window that moved is drawn when it is no farther off than this. [min]
_FARTHEST_DRAWN = 12 * 60


@dataclass(frozen=True)
class WindowBand:
    """`open` is where along the strip its belts stand still; None when it is called off."""

    window: OutageWindow
    times: str
    belts: tuple[str, ...]
    strip: Strip
    open: Along | None

    @property
    def has_moved(self) -> bool:
        return self.window.starts_at != self.window.first_starts_at


@dataclass(frozen=True)
class SheetDay:
    """`running` is for work beside running belts: the whole day, and every crew at work on it."""

    day: date
    windows: tuple[WindowBand, ...]
    running: Strip | None

    @property
    def has_running_work(self) -> bool:
        return self.running is not None and any(any(line.lanes) for line in self.running.lines)


@dataclass(frozen=True)
class Trouble:
    order: WorkOrder
    words: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    plant: Plant
    days: tuple[SheetDay, ...]
    crews: tuple[CrewLine, ...]
    troubles: tuple[Trouble, ...]
    waiting: tuple[Waiting, ...]
    windows: int
    placed: int


def sheet_of(plant: Plant, first_day: date, days: int, now: datetime) -> Sheet:
    """All of a stretch of whole days in the plant's time; a bounded number of queries."""
    spans = [_day_span(plant, first_day + timedelta(days=n)) for n in range(days)]
    whole = Span(spans[0].starts, spans[-1].ends)
    rows = rows_of(plant, instant_of(whole.starts), instant_of(whole.ends))
    supply = supply_of_orders(plant, rows.orders, today=plant.day_of(now))
    standing = _standing(rows, plan_from(rows, supply), now)
    bands = _bands(standing, rows)
    totals = {one.crew: one for one in crew_loads(standing.plan, whole)}
    return Sheet(
        plant=plant,
        days=tuple(_days(standing, bands, spans)),
        crews=tuple(
            CrewLine(row, totals[key], (), ())
            for key, row in standing.crews.items()
            if key in totals
        ),
        troubles=tuple(
            Trouble(standing.orders[key], words) for key, words in standing.clashes.items()
        ),
        waiting=tuple(waiting_orders(rows, standing.plan)),
        windows=len(standing.plan.windows),
        placed=len(standing.plan.placements),
    )


def _standing(rows: SheetRows, plan: planned.Plan, now: datetime) -> Standing:
    clashes: dict[str, tuple[str, ...]] = defaultdict(tuple)
    for clash in clashes_of(plan):
        clashes[clash.job] += (clash_words(clash, plan, rows.names),)
    return Standing(
        plan=plan,
        orders={one.number: one for one in rows.orders},
        crews={str(one.pk): one for one in rows.crews},
        clashes=clashes,
        zone=rows.plant.zone_info,
        now=minute_of(now),
    )


def _bands(standing: Standing, rows: SheetRows) -> list[WindowBand]:
    loads: dict[str | None, dict[str, Load]] = defaultdict(dict)
    for load in window_loads(standing.plan):
        loads[load.window][load.crew] = load
    placed: dict[str | None, list[planned.Placement]] = defaultdict(list)
    for one in standing.plan.placements.values():
        placed[one.window].append(one)
    return [
        _band(standing, window, placed[str(window.pk)], loads[str(window.pk)])
        for window in rows.windows
    ]


def _band(
    standing: Standing,
    window: OutageWindow,
    placed: list[planned.Placement],
    loads: dict[str, Load],
) -> WindowBand:
    span = span_of(window.starts_at, window.ends_at)
    offset = window.starts_at.astimezone(standing.zone).utcoffset() or timedelta()
    strip = strip_around(_reach(span, placed), _ROOM, -int(offset.total_seconds() // 60) % 60)
    return WindowBand(
        window=window,
        times=span_words(span, standing.zone),
        belts=tuple(sorted(one.tag for one in window.conveyors.all())),
        strip=strip_of(standing, strip, placed, loads, span),
        open=along(strip, span) if window.called_off_at is None else None,
    )


def _reach(span: Span, placed: Iterable[planned.Placement]) -> Span:
    """The window with the work that stands near it; what is far off is listed instead."""
    near = [
        one.span
        for one in placed
        if one.span.ends > span.starts - _FARTHEST_DRAWN
        and one.span.starts < span.ends + _FARTHEST_DRAWN
    ]
    starts = min([span.starts, *(one.starts for one in near)])
    return Span(starts, max([span.ends, *(one.ends for one in near)]))


def _days(standing: Standing, bands: list[WindowBand], spans: list[Span]) -> Iterable[SheetDay]:
    """The days of the stretch, and others on which a window of its work begins."""
    by_day: dict[date, list[WindowBand]] = defaultdict(list)
    for band in bands:
        by_day[band.window.starts_at.astimezone(standing.zone).date()].append(band)
    running = {
        instant_of(span.starts).astimezone(standing.zone).date(): _running(standing, span)
        for span in spans
    }
    for day in sorted({*by_day, *running}):
        yield SheetDay(day, tuple(by_day[day]), running.get(day))


def _running(standing: Standing, day: Span) -> Strip:
    placed = [
        one
        for one in standing.plan.placements.values()
        if one.window is None and day.starts <= one.span.starts < day.ends
    ]
    loads = {one.crew: one for one in crew_loads(standing.plan, day) if one.there or one.used}
    return strip_of(standing, day, placed, loads, day)


def _day_span(plant: Plant, day: date) -> Span:
    begins, ends = (
        minute_of(datetime.combine(one, time(), plant.zone_info).astimezone(UTC))
        for one in (day, day + timedelta(days=1))
    )
    return Span(begins, ends)
