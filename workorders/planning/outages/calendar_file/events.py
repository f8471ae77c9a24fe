"""The events of a calendar that may be outage windows (VEVENT, RFC 5545, 3.6.1)."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, tzinfo

from workorders.planning.outages.calendar_file.faults import (
    CalendarFault,
    CalendarRefused,
    EventRefused,
    Refused,
)
from workorders.planning.outages.calendar_file.lines import Component, Line, components_of
from workorders.planning.outages.calendar_file.values import (
    Length,
    Moment,
    length_of,
    moment_of,
    moments_of,
)
from workorders.planning.outages.calendar_file.zones import Zones, zones_of
from workorders.planning.outages.repeat_rules import Repeat, RuleRefused, read_rule

# Engineering judgement: a plant has some dozen conveyors and a few rules for each.
MOST_EVENTS = 1000
LONGEST_UID = 255
LONGEST_NAME = 120
# As a window that is put in by hand.
LONGEST = timedelta(days=92)


@dataclass(frozen=True)
class Event:
    """One VEVENT: a single window, one that comes back, or the other place of one of those.

    Attributes
    ----------
    uid, name : str
    line : int
        Where it begins in the file.
    start : Moment
    length : Length
    rule : Repeat or None
    also, left_out : tuple of Moment
        RDATE and EXDATE.
    instead_of : Moment or None
        RECURRENCE-ID: which of the repetitions this one takes the place of.
    is_cancelled : bool
    sequence : int
        The higher one of two that say the same thing counts.
    words : tuple of str
        Where conveyors may be named: SUMMARY, LOCATION, CATEGORIES.
    """

    uid: str
    name: str
    line: int
    start: Moment
    length: Length
    rule: Repeat | None = None
    also: tuple[Moment, ...] = ()
    left_out: tuple[Moment, ...] = ()
    instead_of: Moment | None = None
    is_cancelled: bool = False
    sequence: int = 0
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class CalendarRead:
    """`name` is what the calendar calls itself, often empty."""

    name: str
    events: tuple[Event, ...]
    refused: tuple[Refused, ...]


def read_calendar(content: bytes, zone: tzinfo) -> CalendarRead:
    """Read a calendar; times that name no zone are in `zone`.

    Raises
    ------
    CalendarRefused
        If the file as a whole is of no use. Single events that are not stand in `refused`.
    """
    calendars = components_of(content)
    zones = zones_of(calendars, zone)
    found = [one for calendar in calendars for one in calendar.parts if one.name == "VEVENT"]
    if not found:
        raise CalendarRefused(Refused(CalendarFault.NO_EVENTS))
    if len(found) > MOST_EVENTS:
        raise CalendarRefused(Refused(CalendarFault.TOO_MANY_EVENTS, detail=str(len(found))))
    events: list[Event] = []
    refused: list[Refused] = []
    for part in found:
        try:
            events.append(_event(part, zones))
        except EventRefused as error:
            refused.append(_refused(part, error))
    return CalendarRead(_name(calendars), tuple(_latest(events)), tuple(refused))


def _latest(events: Sequence[Event]) -> list[Event]:
    """Of two that speak of the same thing the one with the higher sequence, else the later."""
    kept: dict[tuple[str, datetime | None], Event] = {}
    for event in events:
        key = (event.uid, event.instead_of.at if event.instead_of else None)
        if key not in kept or kept[key].sequence <= event.sequence:
            kept[key] = event
    return list(kept.values())


def _event(part: Component, zones: Zones) -> Event:
    if part.unreadable:
        at, text = part.unreadable[0]
        raise EventRefused(CalendarFault.LINE_UNREADABLE, at, text)
    start_line = part.first("DTSTART")
    if start_line is None:
        raise EventRefused(CalendarFault.NO_START, part.at)
    start = moment_of(start_line, zones)
    event = Event(
        uid=_uid(part),
        name=_text(part, "SUMMARY")[:LONGEST_NAME],
        line=part.at,
        start=start,
        length=_length(part, start, zones),
        also=tuple(one for line in part.all("RDATE") for one in moments_of(line, zones)),
        left_out=tuple(one for line in part.all("EXDATE") for one in moments_of(line, zones)),
        is_cancelled=_text(part, "STATUS").upper() == "CANCELLED",
        sequence=_sequence(part),
        words=_words(part),
    )
    return replace(event, rule=_rule(part), instead_of=_instead_of(part, zones))


def _uid(part: Component) -> str:
    uid = _text(part, "UID")
    if not uid:
        raise EventRefused(CalendarFault.NO_UID, part.at)
    if len(uid) > LONGEST_UID:
        raise EventRefused(CalendarFault.UID_TOO_LONG, part.at, uid)
    return uid


def _length(part: Component, start: Moment, zones: Zones) -> Length:
    """Of DTEND the exact minutes (3.8.5.3: the same for every repetition), of days whole ones."""
    end_line, length_line = part.first("DTEND"), part.first("DURATION")
    if end_line is not None:
        end = moment_of(end_line, zones)
        if start.is_day and end.is_day:
            length, at = Length((end.wall - start.wall).days, timedelta()), end_line.at
        else:
            length, at = Length(0, end.at - start.at), end_line.at
    elif length_line is not None:
        length, at = length_of(length_line), length_line.at
    elif start.is_day:
        return Length(1, timedelta())
    else:
        raise EventRefused(CalendarFault.NO_END, part.at)
    whole = timedelta(days=length.days) + length.exact
    if whole < timedelta(minutes=1):
        raise EventRefused(CalendarFault.ENDS_TOO_SOON, at)
    if whole > LONGEST:
        raise EventRefused(CalendarFault.LASTS_TOO_LONG, at, str(whole.days))
    return length


def _rule(part: Component) -> Repeat | None:
    lines = part.all("RRULE")
    if len(lines) > 1:
        raise EventRefused(CalendarFault.RULE_TWICE, lines[1].at)
    if not lines:
        return None
    try:
        return read_rule(lines[0].value)
    except RuleRefused as error:
        raise EventRefused(
            CalendarFault.RULE_WRONG, lines[0].at, error.part, error.fault.value
        ) from error


def _instead_of(part: Component, zones: Zones) -> Moment | None:
    line = part.first("RECURRENCE-ID")
    if line is None:
        return None
    if "RANGE" in line.params:
        raise EventRefused(CalendarFault.THIS_AND_FUTURE, line.at)
    return moment_of(line, zones)


def _words(part: Component) -> tuple[str, ...]:
    texts = [_text(part, "SUMMARY"), _text(part, "LOCATION")]
    return tuple(texts + [one for line in part.all("CATEGORIES") for one in line.texts])


def _sequence(part: Component) -> int:
    said = _text(part, "SEQUENCE")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 10 else 0


def _text(part: Component, name: str) -> str:
    line: Line | None = part.first(name)
    return " ".join(line.text.split()) if line is not None else ""


def _name(calendars: list[Component]) -> str:
    """NAME (RFC 7986, 5.1), or what programs wrote before there was one."""
    for name in ("NAME", "X-WR-CALNAME"):
        for calendar in calendars:
            if said := _text(calendar, name):
                return said[:LONGEST_NAME]
    return ""


def _refused(part: Component, error: EventRefused) -> Refused:
    return Refused(
        fault=error.fault,
        line=error.line,
        detail=error.detail,
        name=_text(part, "SUMMARY")[:LONGEST_NAME],
        uid=_text(part, "UID")[:LONGEST_UID],
        rule_fault=error.rule_fault,
    )
