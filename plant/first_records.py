"""From when the first record of each conveyor is, as each room keeps them."""

from collections.abc import Callable, Collection, Mapping
from datetime import datetime

# For plants by their keys: conveyors with the instant of their first record, in one query.
FirstRecords = Callable[[Collection[int]], Mapping[int, datetime]]

_kept: dict[str, FirstRecords] = {}


def register(what: str, first_records: FirstRecords) -> None:
    _kept[what] = first_records


def first_records(plants: Collection[int]) -> dict[int, datetime]:
    """The earliest of all rooms."""
    found: dict[int, datetime] = {}
    for ask in _kept.values():
        for conveyor, at in ask(plants).items():
            found[conveyor] = min(at, found.get(conveyor, at))
    return found
