"""One change as it is told: by the API, in files, by calls. The one owner of its form."""

from typing import Any

import orjson

from plant.models import Feed

# What the API calls a feed, in addresses and names of files.
WIRE_NAMES = {
    Feed.WORK_ORDERS: "work-orders",
    Feed.COMPLAINTS: "complaints",
    Feed.CASES: "cases",
    Feed.REGISTER: "conveyors",
}


def entry_of(row: tuple[Any, ...], plant: str) -> dict[str, Any]:
    """A row of `feed_pages.COLUMNS`; its record goes out as it was kept, without being read."""
    number, at, kind, of, key, who, by_key, record = row
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


def _wire_time(text: str) -> str:
    """As the database tells an instant in UTC: `2026-11-17 20:05:33.2046+00`."""
    day, at = text[:10], text[11:-3]
    # Microseconds or none, as everywhere on the wire.
    return f"{day}T{at.ljust(15, '0') if '.' in at else at}Z"
