"""The shifts made on a conveyor: the newest, those of an order, and what stands at each station."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet

from diagnostics.models import Case
from plant.loop.vocabulary import IDLERS
from plant.models import Component, Conveyor
from workorders import shift_words
from workorders.models import ShiftMade, WorkOrder
from workorders.shift_choices import MOVED_WORDS
from workorders.shift_ways import End, Moved, Shift, Way, skew_mm, sums_of

_ROWS = 40
# What stands is summed over so many at most; the page says when it was more.
MOST_SUMMED = 2000
_KINDS_OF_IDLERS = sorted(kind.value for kind in IDLERS)
_WITHIN_M = 0.002
MOST_OFFERED = 100


@dataclass(frozen=True)
class ShiftRow:
    """`thing` says what was moved, `how` by which end, how far, which way."""

    row: ShiftMade
    thing: str
    how: str

    @property
    def stands(self) -> bool:
        return self.row.undone_at is None and self.row.taken_back_at is None

    @property
    def undoing(self) -> WorkOrder | None:
        """The open order that is to bring it back."""
        return self.row.brought_back_by if self.stands else None

    @property
    def keeper(self) -> str:
        keeper = str(self.row.kept_by or "")
        return "" if keeper == self.row.made_by else keeper


@dataclass(frozen=True)
class StandingSum:
    """What the standing shifts at one station come to; `skew` says what it does to the belt."""

    station: str
    lines: tuple[str, ...]
    skew: str
    count: int


@dataclass(frozen=True)
class Standing:
    sums: tuple[StandingSum, ...]
    is_cut: bool


def page_of_shifts(
    conveyor: Conveyor, *, only_standing: bool, station: str, number: str | None
) -> tuple[Page[ShiftMade], list[ShiftRow]]:
    """The newest first; two queries however long the list is."""
    rows = _rows(conveyor.shifts_made.all())
    if only_standing:
        rows = rows.filter(undone_at__isnull=True, taken_back_at__isnull=True)
    if station:
        rows = rows.filter(station__iexact=station)
    page = Paginator(rows, _ROWS).get_page(number)
    return page, [shift_row(one, conveyor) for one in page.object_list]


def shift_row(row: ShiftMade, conveyor: Conveyor) -> ShiftRow:
    return ShiftRow(
        row,
        shift_words.thing_words(row.station, row.moved),
        shift_words.how_words(row.end, row.way, row.moved_mm, conveyor),
    )


def offered_to_undo(conveyor: Conveyor, asked: Sequence[int], number: str) -> list[ShiftRow]:
    """The newest that stand, and those asked for by key or by their order's number."""
    rows = ShiftMade.objects.standing().filter(conveyor=conveyor)
    newest = rows.order_by("-made_at", "-pk").values("pk")[:MOST_OFFERED]
    meant = Q(pk__in=list(asked[:MOST_OFFERED]))
    if number and "\x00" not in number:
        meant |= Q(order__number=number)
    found = _rows(rows.filter(meant | Q(pk__in=newest)))
    return [shift_row(one, conveyor) for one in found[: 2 * MOST_OFFERED]]


def latest_of_conveyor(conveyor: Conveyor, most: int) -> list[ShiftRow]:
    rows = _rows(conveyor.shifts_made.filter(taken_back_at__isnull=True))[:most]
    return [shift_row(one, conveyor) for one in rows]


def of_component(component: Component, most: int) -> list[ShiftRow]:
    """By where they were made: rows of idler groups come and go, their places stay."""
    conveyor = component.conveyor
    rows = conveyor.shifts_made.filter(_at(component), taken_back_at__isnull=True)
    return [shift_row(one, conveyor) for one in _rows(rows)[:most]]


def of_order(order: WorkOrder) -> list[ShiftRow]:
    """Those made in it, the first one first; taken back ones too."""
    rows = _rows(order.shifts_made.all()).order_by("made_at", "pk")
    return [shift_row(one, order.conveyor) for one in rows]


def undone_by(order: WorkOrder) -> list[ShiftRow]:
    """Those it is to bring back or has brought back."""
    mine = Q(undo_order=order) | Q(undo_order__merged_into=order)
    rows = ShiftMade.objects.filter(mine, conveyor=order.conveyor_id)
    return [shift_row(one, order.conveyor) for one in _rows(rows)]


def of_case(case: Case, most: int) -> list[ShiftRow]:
    """Made for the case, or on its conveyor without an order while it was open."""
    freely = Q(order__isnull=True, made_at__gte=case.opened_at)
    if case.ended_at is not None:
        freely &= Q(made_at__lte=case.ended_at)
    rows = case.conveyor.shifts_made.filter(
        Q(order__case=case) | freely, taken_back_at__isnull=True
    )
    return [shift_row(one, case.conveyor) for one in _rows(rows)[:most]]


def standing_of(conveyor: Conveyor, component: Component | None = None) -> Standing:
    """What stands at each station, along the belt; one query."""
    rows = ShiftMade.objects.standing().filter(conveyor=conveyor)
    if component is not None:
        rows = rows.filter(_at(component))
    found = list(rows.order_by("-made_at", "-pk")[: MOST_SUMMED + 1])
    by_station: dict[str, list[ShiftMade]] = defaultdict(list)
    for one in sorted(found[:MOST_SUMMED], key=lambda one: (one.position_m, one.made_at)):
        by_station[one.station].append(one)
    sums = tuple(_sum(conveyor, station, rows) for station, rows in by_station.items())
    return Standing(sums, len(found) > MOST_SUMMED)


def _sum(conveyor: Conveyor, station: str, rows: Sequence[ShiftMade]) -> StandingSum:
    shifts = [as_shift(one) for one in rows]
    lines = tuple(
        f"{MOVED_WORDS[one.moved]}: {shift_words.how_words(one.end, one.way, one.mm, conveyor)}"
        for one in sums_of(shifts)
        if one.mm
    )
    things = {one.moved for one in shifts}
    # Ends of different things are no roll that stands askew.
    skew = shift_words.skew_words(skew_mm(shifts)) if _turns_belt(things) else ""
    return StandingSum(station, lines, skew, len(rows))


def _turns_belt(things: Iterable[Moved]) -> bool:
    return len(set(things)) == 1 and set(things) <= {Moved.FRAME, Moved.HANGER, Moved.ROLL}


def as_shift(row: ShiftMade) -> Shift:
    return Shift(row.station, Moved(row.moved), End(row.end), Way(row.way), row.moved_mm)


def _rows(rows: QuerySet[ShiftMade]) -> QuerySet[ShiftMade]:
    return rows.select_related(
        "order", "undo_order__merged_into__merged_into", "kept_by", "undone_by"
    )


def _at(component: Component) -> Q:
    if component.is_idler:
        first, last = float(component.first_m), float(component.last_m)
        return Q(
            kind__in=_KINDS_OF_IDLERS,
            run=component.run,
            position_m__gte=first - _WITHIN_M,
            position_m__lte=last + _WITHIN_M,
        )
    return Q(station__iexact=component.name)
