"""Whether a fault has come back; pure.

A recurrence is a new case on the same conveyor and of the same cause family, opened within the
plant's window after an earlier case passed its proof run. Time is counted in calendar days, while
running hours are not kept; two places are the same within the plant's distance, the shortest way
round the loop.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta


@dataclass(frozen=True)
class PastCase:
    """An earlier case of the same conveyor, or the one that is asked about.

    `proved_at` is None while no proof run has passed; `position_m` is None for a cause without a
    place (the belt, the surroundings). [m]
    """

    key: int
    cause_class: str
    opened_at: datetime
    proved_at: datetime | None
    position_m: float | None


@dataclass(frozen=True)
class Window:
    """How long and how near counts as come back: calendar days, metres, length of the loop."""

    days: int
    same_place_m: float
    loop_length_m: float | None = None


@dataclass(frozen=True)
class Repeat:
    """The case that came back, and whether at the same place; None where a place is unknown."""

    key: int
    is_same_place: bool | None


def repeated_case(asked: PastCase, earlier: Iterable[PastCase], window: Window) -> Repeat | None:
    """The latest earlier case that the asked one repeats.

    Parameters
    ----------
    asked : PastCase
        The new case with its cause family; an empty family repeats nothing.
    earlier : iterable of PastCase
        Other cases of the same conveyor, in any order.
    window : Window

    Returns
    -------
    Repeat or None
        Of several, one at the same place goes first, then the latest proof.
    """
    within = [past for past in earlier if _is_within(asked, past, window)]
    if not within or not asked.cause_class:
        return None
    repeats = [(Repeat(past.key, is_same_place(asked, past, window)), past) for past in within]
    found, _past = max(repeats, key=lambda pair: (pair[0].is_same_place is True, pair[1].proved_at))
    return found


def is_same_place(one: PastCase, other: PastCase, window: Window) -> bool | None:
    """None where either has no place."""
    if one.position_m is None or other.position_m is None:
        return None
    apart = abs(one.position_m - other.position_m)
    if window.loop_length_m:
        apart = min(apart % window.loop_length_m, -apart % window.loop_length_m)
    return apart <= window.same_place_m


def _is_within(asked: PastCase, past: PastCase, window: Window) -> bool:
    if past.key == asked.key or past.cause_class != asked.cause_class or past.proved_at is None:
        return False
    since = asked.opened_at - past.proved_at
    return timedelta(0) <= since <= timedelta(days=window.days)
