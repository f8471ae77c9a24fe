"""What was made new on a belt, and when: each room says what it keeps.

The rooms register their source from `AppConfig.ready`.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from plant.models import Conveyor


@dataclass(frozen=True)
class Replacement:
    """`kind` groups what is alike, in the reader's words; `address` is where to read about it."""

    on: date
    kind: str
    words: str
    address: str = ""


Source = Callable[[Conveyor, date, date], Iterable[Replacement]]

_sources: dict[str, Source] = {}


def register(name: str, source: Source) -> None:
    """`source` gets a conveyor and the first and last day, and asks a fixed number of queries."""
    _sources[name] = source


def replacements_of(conveyor: Conveyor, first: date, last: date) -> list[Replacement]:
    """In the order of days."""
    found = [
        one for _name, source in sorted(_sources.items()) for one in source(conveyor, first, last)
    ]
    return sorted(found, key=lambda one: (one.on, one.kind, one.words))
