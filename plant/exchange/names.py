"""Names of files: sorted by name they stand in the order in which they are to be read.

A file of changes bears the numbers of its first and last change, a part of a snapshot the number
up to which it counts: `work-orders-000000004711-000000004822.jsonl` comes after
`work-orders-000000004710-snapshot-001-of-001.jsonl`.
"""

import re

# Enough for a thousand changes a second for thirty years. Longer numbers still make a valid
# name, sorted wrongly against shorter ones only.
_DIGITS = 12
_FOLDER = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")
_PARTING = ".part"


def of_changes(feed: str, first: int, last: int, ending: str) -> str:
    return f"{feed}-{first:0{_DIGITS}d}-{last:0{_DIGITS}d}.{ending}"


def of_snapshot(feed: str, number: int, part: int, parts: int, ending: str) -> str:
    """Part by part; a reader has the whole of it when it has all `parts`."""
    return f"{feed}-{number:0{_DIGITS}d}-snapshot-{part:03d}-of-{parts:03d}.{ending}"


def is_snapshot_of(feed: str, name: str) -> bool:
    return re.fullmatch(rf"{re.escape(feed)}-\d+-snapshot-\d+-of-\d+\.[a-z]+", name) is not None


def aside(name: str, token: str) -> str:
    """Where a file is written until it is whole; nobody reads names that end so."""
    return f".{name}.{token}{_PARTING}"


def is_aside(name: str) -> bool:
    return name.endswith(_PARTING)


def is_folder(name: str) -> bool:
    """One plain name: no way up, no way elsewhere, the same on every file system."""
    return _FOLDER.fullmatch(name) is not None
