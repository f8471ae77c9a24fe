"""What meters tell of a conveyor: amounts, exposure, and the list of readings."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import zip_longest

from django.core.paginator import Page, Paginator

from plant import meter_words
from plant.metering.amounts import Amount, amount_between, latest_stretch
from plant.metering.basis import Basis
from plant.metering.clocks import Stretch
from plant.metering.readings import MeterQuantity, Reading, hours_between, rise
from plant.models import Conveyor, MeterReading

_ROWS = 25


@dataclass(frozen=True)
class Exposure:
    """Hours that a statistic divides by; `why` says why they are not running hours.

    `metered` is the latest part of the time that meter readings cover.
    """

    hours: float
    basis: Basis
    why: str = ""
    metered: Stretch | None = None

    @property
    def is_running(self) -> bool:
        return self.basis is Basis.RUNNING


@dataclass(frozen=True)
class ReadingRow:
    """A reading with what came in since the one before; None where that is not known."""

    row: MeterReading
    rise: float | None = None
    hours: float | None = None
    is_above_capacity: bool = False

    @property
    def each_day(self) -> float | None:
        return None if self.rise is None or not self.hours else self.rise / self.hours * 24


def readings_of(conveyor: Conveyor, quantity: MeterQuantity) -> list[Reading]:
    """In the order of time; one query."""
    rows = conveyor.meter_readings.filter(quantity=quantity.value).order_by("read_at")
    return [row.as_reading() for row in rows]


def exposure_h(conveyor: Conveyor, first: datetime, last: datetime) -> Exposure:
    """Running hours between two instants where the meter says, else calendar hours."""
    return exposures_h(conveyor, [first], last)[0]


def exposures_h(conveyor: Conveyor, firsts: Sequence[datetime], last: datetime) -> list[Exposure]:
    """The same from several instants on to one; one query."""
    readings = readings_of(conveyor, MeterQuantity.RUNNING_HOURS)
    return [_exposure(conveyor, readings, first, last) for first in firsts]


def _exposure(
    conveyor: Conveyor, readings: list[Reading], first: datetime, last: datetime
) -> Exposure:
    known: Amount = amount_between(readings, first, last)
    if known.value is not None:
        return Exposure(known.value, Basis.RUNNING, metered=Stretch(first, last, known.value))
    return Exposure(
        hours_between(first, last),
        Basis.CALENDAR,
        meter_words.unknown_words(known, conveyor.plant.zone_info),
        latest_stretch(readings, first, last),
    )


def metered_in(
    conveyor: Conveyor, quantity: MeterQuantity, first: datetime, last: datetime
) -> Stretch | None:
    """The latest part of a period that readings cover, with what came in then."""
    return latest_stretch(readings_of(conveyor, quantity), first, last)


def page_of_readings(
    conveyor: Conveyor, quantity: MeterQuantity, number: str | None
) -> tuple[Page[MeterReading], list[ReadingRow]]:
    """A page of the list, the newest first; two queries however long the list is."""
    rows = conveyor.meter_readings.filter(quantity=quantity.value)
    page = Paginator(rows, _ROWS).get_page(number)
    # One more than the page has: what its last row is counted from.
    start = (page.number - 1) * _ROWS
    found = list(rows[start : start + _ROWS + 1])
    page.object_list = found[:_ROWS]
    shown = [_shown(conveyor, *pair) for pair in zip_longest(found, found[1:])]
    return page, shown[:_ROWS]


def _shown(conveyor: Conveyor, row: MeterReading, before: MeterReading | None) -> ReadingRow:
    more = rise(before.as_reading(), row.as_reading()) if before else None
    if before is None or more is None:
        return ReadingRow(row)
    hours = hours_between(before.read_at, row.read_at)
    most = conveyor.capacity_tph if row.quantity == MeterQuantity.TONNES.value else None
    return ReadingRow(row, more, hours, most is not None and more > most * hours)


def latest_readings(conveyor: Conveyor) -> list[MeterReading]:
    """The newest reading of each quantity; one query."""
    rows = conveyor.meter_readings.order_by("quantity", "-read_at").distinct("quantity")
    return list(rows)
