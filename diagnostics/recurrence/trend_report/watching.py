"""How long each unit of a file of events was watched: three ways to say it; pure."""

from dataclasses import dataclass

import numpy as np

from diagnostics.recurrence.histories import EndedBy, Histories, histories_of
from diagnostics.recurrence.trend_report.event_file import EventRows, TrendFileError, shown


@dataclass(frozen=True, eq=False)
class Watched:
    """Histories with the names of their units, in the order of the file."""

    names: tuple[str, ...]
    histories: Histories
    ended_by: EndedBy
    notes: tuple[str, ...]


def watched_until(events: EventRows, end: float) -> Watched:
    """All units watched from 0 to one time; units without events stay unknown."""
    note = "Units without events are unknown: the file names only units that had one."
    return _watched(events, dict.fromkeys(events.names, end), EndedBy.TIME, (note,))


def watched_to_ends(events: EventRows, ends: dict[str, float]) -> Watched:
    """Each unit of the ends watched to its own, with events or without."""
    return _watched(events, ends, EndedBy.TIME, ())


def watched_to_last_event(events: EventRows) -> Watched:
    """One unit, watched until its last event happened."""
    if len(events.names) > 1:
        row = int(events.row[np.argmax(events.unit > 0)])
        raise TrendFileError(
            f"row {row}: unit: {shown(events.names[1])} is a second unit; watching that ends with "
            "the last event is for one unit."
        )
    if not events.names:
        raise TrendFileError("row 2: time: the file holds no event that watching could end with.")
    end = float(events.time.max())
    return _watched(events, {events.names[0]: end}, EndedBy.FAILURE, ())


def _watched(
    events: EventRows, ends: dict[str, float], ended_by: EndedBy, notes: tuple[str, ...]
) -> Watched:
    _check(events, ends)
    place = {name: index for index, name in enumerate(ends)}
    renumbered = np.array([place[name] for name in events.names], dtype=np.int64)
    histories = histories_of(renumbered[events.unit], events.time, end=list(ends.values()))
    return Watched(
        tuple(ends), histories, ended_by, (*_missing(events), *notes, *_repeated(events))
    )


def _check(events: EventRows, ends: dict[str, float]) -> None:
    end = np.array([ends.get(name, np.nan) for name in events.names])
    # A comparison with nan is false: a unit without an end is caught as well.
    wrong = ~(events.time <= end[events.unit])
    if not wrong.any():
        return
    first = int(np.argmax(wrong))
    name, row = events.names[events.unit[first]], int(events.row[first])
    if name not in ends:
        raise TrendFileError(f"row {row}: unit: {shown(name)} has no end.")
    raise TrendFileError(
        f"row {row}: time: {events.time[first]:.12g} is after the end of {shown(name)}, "
        f"{ends[name]:.12g}."
    )


def _missing(events: EventRows) -> tuple[str, ...]:
    if len(events.time):
        return ()
    return (
        "The file holds no event: below the names unit,time it needs a row for each, such as "
        "BC-101,120.5.",
    )


def _repeated(events: EventRows) -> tuple[str, ...]:
    count = events.repeated
    if not count:
        return ()
    rows = "1 row says" if count == 1 else f"{count} rows say"
    return (f"{rows} the same as an earlier row; each is counted as an event of its own.",)
