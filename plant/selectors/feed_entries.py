"""One change as it is told: by the API, in files, by calls. The one owner of its form."""

from datetime import UTC, datetime
from typing import Any

import orjson

from plant.models import Feed
from plant.selectors.standing_records import Standing
from plant.wording.refusals import Missed
from plant.wording.wording import Wording

# The kind of what did not change but stands: no change feed has it, snapshots in files do.
STANDING = "standing"
# What the API calls a feed, in addresses and names of files.
WIRE_NAMES = {
    Feed.WORK_ORDERS: "work-orders",
    Feed.COMPLAINTS: "complaints",
    Feed.CASES: "cases",
    Feed.REGISTER: "conveyors",
}


def entry_of(row: tuple[Any, ...], plant: str) -> dict[str, Any]:
    """A row of `feed_pages.COLUMNS`; its record goes out as it was kept, without being read."""
    number, _numbered, at, kind, of, key, who, by_key, record = row
    return {
        "number": number,
        "at": _wire_time(at),
        "plant": plant,
        "kind": kind,
        "of": of,
        "key": key,
        "by": "key" if by_key else "person" if who else "system",
        "who": who or None,
        "record": orjson.Fragment(record),
    }


def worded_entry_of(
    row: tuple[Any, ...], plant: str, wording: Wording, missed: set[Missed]
) -> dict[str, Any]:
    """The same in a system's words; raises WordRefused where a strict wording has none."""
    entry = {**entry_of(row, plant), "record": orjson.loads(row[-1])}
    return wording.change_to_theirs(entry, missed)


def _wire_time(text: str) -> str:
    """As the database tells an instant in UTC: `2026-11-17 20:05:33.2046+00`."""
    day, at = text[:10], text[11:-3]
    # Microseconds or none, as everywhere on the wire.
    return f"{day}T{at.ljust(15, '0') if '.' in at else at}Z"


def standing_entry(one: Standing, number: int, at: str, plant: str) -> dict[str, Any]:
    """A row as it stands, told like a change; `number` is the place in the feed to go on from."""
    return {
        "number": number,
        "at": at,
        "plant": plant,
        "kind": STANDING,
        "of": one.of,
        "key": one.key,
        "by": "system",
        "who": None,
        "record": orjson.Fragment(one.record),
    }


def wire_time(moment: datetime) -> str:
    """As the API writes instants."""
    return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")
