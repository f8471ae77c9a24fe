"""One strip of the outage sheet: its hours along, a line for each crew, bars that stand on it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from workorders.models import Crew, WorkOrder
from workorders.planning.outages import plan as planned
from workorders.planning.outages.crew_hours import with_overtime
from workorders.planning.outages.load import Load
from workorders.planning.outages.minutes import instant_of
from workorders.planning.outages.plan import Plan, Span
from workorders.planning.outages.ruling import Along, along, gaps, hours_between_ticks, lanes_of
from workorders.span_words import clock_words, hours_words, length_words, span_words

# A bar's lettering takes about this share of a strip on a narrow screen.
_LETTERING = 7
_HOUR = 60
# Beyond this a strip's hours stand closer together. [h]
_LONG = 50


@dataclass(frozen=True)
class Bar:
    """A placed order; `where` is None when it stands outside the strip's hours."""

    order: WorkOrder
    placement: planned.Placement
    where: Along | None
    times: str
    length: str
    people: int
    clashes: tuple[str, ...]
    is_pinned: bool

    @property
    def is_in_hand(self) -> bool:
        return self.order.state == "in_hand"


@dataclass(frozen=True)
class Shade:
    """Hours in which a crew is not there (`off`), may be asked for (`overtime`), or `away`."""

    kind: str
    where: Along
    words: str = ""


@dataclass(frozen=True)
class Tick:
    at: int
    words: str
    is_midnight: bool


@dataclass(frozen=True)
class CrewLine:
    """`load` is None for a crew that is gone; figures are people x hours.

    `opens` is the first minute at which the crew can begin there.
    """

    crew: Crew
    load: Load | None
    lanes: tuple[tuple[Bar, ...], ...]
    shades: tuple[Shade, ...]
    opens: int = 0

    @property
    def used(self) -> str:
        return hours_words(self.load.used) if self.load else ""

    @property
    def there(self) -> str:
        return hours_words(self.load.there) if self.load else ""

    @property
    def overtime(self) -> str:
        return hours_words(self.load.overtime) if self.load and self.load.overtime else ""

    @property
    def elsewhere(self) -> str:
        return hours_words(self.load.elsewhere) if self.load and self.load.elsewhere else ""

    @property
    def filled(self) -> int:
        """How much of what is there is used, in thousandths, no more than all."""
        if self.load is None or not self.load.there:
            return 0
        return min(1000, 1000 * (self.load.used + self.load.elsewhere) // self.load.there)


@dataclass(frozen=True)
class Strip:
    span: Span
    ticks: tuple[Tick, ...]
    lines: tuple[CrewLine, ...]
    beside: tuple[Bar, ...]
    now: Along | None

    @property
    def hours(self) -> int:
        return round(self.span.minutes / _HOUR)

    @property
    def is_long(self) -> bool:
        return self.hours > _LONG


@dataclass(frozen=True)
class Standing:
    """What strips are made from."""

    plan: Plan
    orders: Mapping[str, WorkOrder]
    crews: Mapping[str, Crew]
    clashes: Mapping[str, tuple[str, ...]]
    zone: ZoneInfo
    now: int


def strip_of(
    standing: Standing,
    span: Span,
    placements: Iterable[planned.Placement],
    loads: Mapping[str, Load],
    opened: Span,
) -> Strip:
    """The crews that have a load here, and those gone that still have work here.

    `opened` is when work may be done, the window or the day.
    """
    by_crew: dict[str, list[planned.Placement]] = {}
    for one in placements:
        by_crew.setdefault(one.crew, []).append(one)
    lines, beside = [], []
    for key, row in standing.crews.items():
        if key not in loads and key not in by_crew:
            continue
        bars = _bars(standing, span, by_crew.get(key, []))
        beside += [bar for bar in bars if bar.where is None]
        lanes = _lanes(span, [bar for bar in bars if bar.where is not None])
        crew = standing.plan.crews.get(key)
        opens = _opens(crew, opened)
        lines.append(CrewLine(row, loads.get(key), lanes, _shades(crew, span), opens))
    now = along(span, Span(standing.now, standing.now + 1))
    return Strip(span, _ticks(span, standing.zone), tuple(lines), tuple(beside), now)


def _opens(crew: planned.Crew | None, opened: Span) -> int:
    shifts = [one.shared_with(opened) for one in crew.shifts] if crew else []
    return min((one.starts for one in shifts if one), default=opened.starts)


def _lanes(strip: Span, bars: list[Bar]) -> tuple[tuple[Bar, ...], ...]:
    lanes = lanes_of([one.placement.span for one in bars], strip.minutes // _LETTERING)
    found: list[list[Bar]] = [[] for _lane in range(max(lanes, default=0) + 1)]
    for bar, lane in zip(bars, lanes, strict=True):
        found[lane].append(bar)
    return tuple(tuple(lane) for lane in found)


def _bars(standing: Standing, strip: Span, placements: list[planned.Placement]) -> list[Bar]:
    return [
        Bar(
            order=standing.orders[one.job],
            placement=one,
            where=along(strip, one.span),
            times=span_words(one.span, standing.zone),
            length=length_words(one.span.minutes),
            people=standing.plan.jobs[one.job].people,
            clashes=standing.clashes.get(one.job, ()),
            is_pinned=standing.orders[one.job].is_pinned,
        )
        for one in placements
    ]


def _shades(crew: planned.Crew | None, strip: Span) -> tuple[Shade, ...]:
    if crew is None:
        return ()
    allowed = with_overtime(crew)
    found = [("off", one, "") for one in gaps(strip, allowed)]
    found += [("overtime", one, "") for one in gaps(strip, [*crew.shifts, *gaps(strip, allowed)])]
    found += [("away", one.span, str(one.people)) for one in crew.absences]
    return tuple(
        Shade(kind, where, words)
        for kind, span, words in found
        if (where := along(strip, span)) is not None
    )


def _ticks(strip: Span, zone: ZoneInfo) -> tuple[Tick, ...]:
    """Whole hours of the plant's clock."""
    step = hours_between_ticks(strip)
    found = []
    for minute in range(strip.starts, strip.ends, 15):
        local = instant_of(minute).astimezone(zone)
        where = along(strip, Span(minute, minute + 1))
        if local.minute == 0 and local.hour % step == 0 and where is not None:
            found.append(Tick(where.begins, clock_words(minute, zone)[:2], local.hour == 0))
    return tuple(found)
