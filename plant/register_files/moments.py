"""Days and instants as people type them; days that can be read in two ways are refused."""

import re
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from plant.register_files.cells import check_plain, text_of
from plant.register_files.refusals import CellRefused

_YEAR_FIRST = re.compile(r"^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$")
_DOTS = re.compile(r"^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})$")
_STROKES = re.compile(r"^(\d{1,2})[/-](\d{1,2})[/-](\d{4})$")
_CLOCK = re.compile(
    r"^(.*\S)[T ]+(\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?\s*(Z|[+-]\d{2}:?\d{2})?$"
)
_NOON = time(12)
_EARLIEST, _LATEST = date(1850, 1, 1), date(2200, 1, 1)


def day_of(cell: Any) -> date:
    check_plain(cell)
    if isinstance(cell, datetime):
        return _likely(cell.date(), cell)
    if isinstance(cell, date):
        return _likely(cell, cell)
    if isinstance(cell, int | float) or str(cell).strip().isdigit():
        raise CellRefused("number_for_date", cell=text_of(cell)[:40])
    text = text_of(cell)
    with_clock = _CLOCK.match(text)
    return _day_typed(with_clock[1] if with_clock else text)


def moment_of(cell: Any, zone: ZoneInfo) -> datetime:
    """An instant with its zone; a day without a clock time is its noon in the plant's zone."""
    check_plain(cell)
    if isinstance(cell, datetime):
        _likely(cell.date(), cell)
        # A spreadsheet has no days without a time: midnight is what it makes of a bare day.
        local = cell if cell.time() != time() else datetime.combine(cell.date(), _NOON)
        # Spreadsheets keep instants as fractions of a day, good to some microseconds.
        return _to_the_second(local).replace(tzinfo=zone)
    if isinstance(cell, date):
        return datetime.combine(_likely(cell, cell), _NOON, zone)
    found = _CLOCK.match(text_of(cell))
    if found is None:
        return datetime.combine(day_of(cell), _NOON, zone)
    day = _day_typed(found[1])
    try:
        clock = time(int(found[2]), int(found[3]), int(found[4] or 0))
        offset = found[5] and datetime.strptime(found[5], "%z").tzinfo
    except ValueError:
        raise CellRefused("not_a_date", cell=text_of(cell)[:40]) from None
    return datetime.combine(day, clock, offset or zone)


def written_moment(moment: datetime, zone: ZoneInfo) -> str:
    """An instant as `moment_of` reads it back: by the plant's clocks, with the shift if needed."""
    local = moment.astimezone(zone).replace(microsecond=0)
    words = local.strftime("%Y-%m-%d %H:%M:%S").removesuffix(":00")
    return words if local.fold == 0 else words + local.strftime("%z")


def _to_the_second(moment: datetime) -> datetime:
    return (moment + timedelta(microseconds=500_000)).replace(microsecond=0)


def _day_typed(text: str) -> date:
    if found := _YEAR_FIRST.match(text):
        return _made(text, found[1], found[2], found[3])
    if found := _DOTS.match(text):
        return _made(text, found[3], found[2], found[1])
    if found := _STROKES.match(text):
        first, second = int(found[1]), int(found[2])
        if first <= 12 and second <= 12 and first != second:
            raise CellRefused("day_or_month", cell=text[:40])
        day, month = (first, second) if second <= 12 else (second, first)
        return _made(text, found[3], month, day)
    raise CellRefused("not_a_date", cell=text[:40])


def _made(text: str, year: str, month: Any, day: Any) -> date:
    try:
        day_made = date(int(year), int(month), int(day))
    except ValueError:
        raise CellRefused("not_a_date", cell=text[:40]) from None
    return _likely(day_made, text)


def _likely(day: date, cell: Any) -> date:
    if not _EARLIEST <= day <= _LATEST:
        raise CellRefused("unlikely_date", cell=text_of(cell)[:40])
    return day
