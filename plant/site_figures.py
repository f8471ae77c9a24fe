"""Figures of the running site, for programs that watch it; each part registers its own.

A part is a function that reads its figures anew, with a bounded number of queries, and may be in
an upper room: `register` from `AppConfig.ready`. Labels have few values; no row's name is one.
"""

import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from django.db import transaction

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class Sample:
    """`of` are the labels and their values."""

    value: float
    of: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Figure:
    """`name` ends in its unit; a counter only rises, until it begins anew."""

    name: str
    words: str
    samples: list[Sample]
    is_counter: bool = False


@dataclass(frozen=True)
class Durations:
    """How often something took no longer than each bound. [s]"""

    name: str
    words: str
    bounds_s: tuple[float, ...]
    # Labels, counts by bound, count of all, sum of seconds.
    rows: list[tuple[dict[str, str], list[int], int, float]]


Told = Figure | Durations
Part = Callable[[], Iterable[Told]]

_parts: dict[str, Part] = {}


def register(name: str, part: Part) -> None:
    _parts[name] = part


def read_all() -> list[Told]:
    """All figures; a part that fails is logged, named, and keeps no other back."""
    told: list[Told] = []
    failed: list[Sample] = []
    for name, part in _parts.items():
        try:
            # A failed statement must not spoil the others of a transaction around all this.
            with transaction.atomic():
                told += part()
        except Exception:
            logger.exception("The figures of %s could not be read.", name)
            failed.append(Sample(1, {"part": name}))
        else:
            failed.append(Sample(0, {"part": name}))
    words = "1 for a part whose figures could not be read."
    return [*told, Figure("figures_failed", words, failed)]
