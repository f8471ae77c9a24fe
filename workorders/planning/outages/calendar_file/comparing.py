"""What a calendar would change among the windows that stand.

A window is known again by the event's UID and which repetition it is. Where a whole series was put
to another hour its repetitions have new names; then the one of the same day is meant, and of an
event that does not repeat the one there is. What the calendar said last is kept with each window:
as long as it says the same, whatever a planner did to the window stands.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from enum import StrEnum
from typing import Any

from workorders.planning.outages.calendar_file.laying_out import Occurrence

# Said of a window that a later file of its calendar no longer has.
GONE_SAID = {"gone": True}


class Change(StrEnum):
    NEW = "new"
    MOVED = "moved"
    CHANGED = "changed"
    CALLED_OFF = "called off"
    BACK = "back"
    GONE = "gone"
    UNCHANGED = "unchanged"


@dataclass(frozen=True)
class Wanted:
    """An occurrence with the conveyors it was found to mean."""

    occurrence: Occurrence
    tags: frozenset[str]

    @property
    def sorted_tags(self) -> list[str]:
        return sorted(self.tags)

    def said(self) -> dict[str, Any]:
        one = self.occurrence
        return {
            "starts_at": one.starts_at.isoformat(),
            "ends_at": one.ends_at.isoformat(),
            "name": one.name,
            "tags": self.sorted_tags,
            "off": one.is_cancelled,
        }


@dataclass(frozen=True)
class Standing:
    """A window that came from a calendar; `said` is what the calendar said of it last."""

    key: int
    uid: str
    id_at: datetime
    starts_at: datetime
    ends_at: datetime
    name: str
    tags: frozenset[str]
    is_off: bool
    said: Mapping[str, Any]


@dataclass(frozen=True)
class Verdict:
    """`wanted` is None for what is gone, `standing` for what is new."""

    change: Change
    wanted: Wanted | None
    standing: Standing | None


def compare(
    wanted: Sequence[Wanted],
    standing: Sequence[Standing],
    *,
    gone_from: Iterable[int],
    zone: tzinfo,
) -> list[Verdict]:
    """Every window of the file and of the plant's calendar, with what would become of it.

    Parameters
    ----------
    wanted : sequence of Wanted
        What the file holds, not over yet.
    standing : sequence of Standing
        All windows with a UID of the file, over or not, and those of `gone_from`.
    gone_from : iterable of int
        Keys of the coming windows that are gone when the file does not have them.
    zone : tzinfo
        The plant's, for what is one day.
    """
    pairs = _pairs(wanted, standing, set(gone_from), zone)
    matched = {one.key for one in pairs.values()}
    verdicts = [
        Verdict(change, one, pairs.get(place))
        for place, one in enumerate(wanted)
        if (change := _change(one, pairs.get(place))) is not None
    ]
    return verdicts + [
        Verdict(Change.GONE, None, one)
        for one in standing
        if one.key in gone_from
        and one.key not in matched
        and not one.is_off
        and dict(one.said) != GONE_SAID
    ]


def _change(wanted: Wanted, standing: Standing | None) -> Change | None:
    """None for what is cancelled and was never here."""
    occurrence = wanted.occurrence
    if standing is None:
        return None if occurrence.is_cancelled else Change.NEW
    if dict(standing.said) == wanted.said():
        return Change.UNCHANGED
    if occurrence.is_cancelled:
        return Change.UNCHANGED if standing.is_off else Change.CALLED_OFF
    if standing.is_off:
        return Change.BACK
    times = (occurrence.starts_at, occurrence.ends_at)
    if times != (standing.starts_at, standing.ends_at):
        return Change.MOVED
    is_same = (occurrence.name, wanted.tags) == (standing.name, standing.tags)
    return Change.UNCHANGED if is_same else Change.CHANGED


def _pairs(
    wanted: Sequence[Wanted], standing: Sequence[Standing], coming: set[int], zone: tzinfo
) -> dict[int, Standing]:
    """The window of each place in `wanted`, where there is one."""
    by_id = {(one.uid, one.id_at): one for one in standing}
    pairs: dict[int, Standing] = {}
    for place, one in enumerate(wanted):
        if found := by_id.get((one.occurrence.uid, one.occurrence.id_at)):
            pairs[place] = found
    taken = {one.key for one in pairs.values()}
    left: dict[str, list[Standing]] = defaultdict(list)
    for row in standing:
        if row.key not in taken and row.key in coming:
            left[row.uid].append(row)
    fresh: dict[str, list[int]] = defaultdict(list)
    for place, one in enumerate(wanted):
        if place not in pairs and one.occurrence.uid in left:
            fresh[one.occurrence.uid].append(place)
    for uid, places in fresh.items():
        pairs |= _leftover(wanted, places, left[uid], zone)
    return pairs


def _leftover(
    wanted: Sequence[Wanted], places: Sequence[int], rows: Sequence[Standing], zone: tzinfo
) -> dict[int, Standing]:
    if len(places) == 1 and len(rows) == 1 and not wanted[places[0]].occurrence.comes_back:
        return {places[0]: rows[0]}
    by_day: dict[object, list[Standing]] = defaultdict(list)
    for row in rows:
        by_day[row.id_at.astimezone(zone).date()].append(row)
    found: dict[int, Standing] = {}
    for place in places:
        day = wanted[place].occurrence.id_at.astimezone(zone).date()
        if by_day[day]:
            found[place] = by_day[day].pop(0)
    return found
