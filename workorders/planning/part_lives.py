"""Lives of parts that sit in places and are replaced there: which began when, ended when and how.

A place has one part after the other. A part whose beginning nobody wrote down is left out and
counted; one that still sits there has not ended.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, order=True)
class Replaced:
    """A part was replaced; `failed` if it had to be, not to be on the safe side."""

    on: date
    failed: bool


@dataclass(frozen=True, order=True)
class PartLife:
    """`ended` is None for one that still sits there."""

    began: date
    ended: date | None
    failed: bool


@dataclass(frozen=True)
class PartLives:
    """Lives with how many of each there were, and how many began nobody knows when."""

    counts: Mapping[PartLife, int]
    unknown: int

    @property
    def running(self) -> dict[date, int]:
        """How many that still sit there, by the day they came."""
        found: Counter[date] = Counter()
        for life, count in self.counts.items():
            if life.ended is None:
                found[life.began] += count
        return dict(found)


def lives_in_places(
    places: int, fitted: date | None, replaced: Sequence[Sequence[Replaced]]
) -> PartLives:
    """Lives of all places of a group that came together.

    Parameters
    ----------
    places : int
        How many there are, at least as many as `replaced`.
    fitted : date or None
        When the group came, with a part in each place; None when nobody knows.
    replaced : sequence of sequence of Replaced
        For each place where something was replaced, in any order. What lies before `fitted` was
        in an older group and does not count.
    """
    counts: Counter[PartLife] = Counter()
    unknown = 0
    for one in replaced:
        unknown += _of_place(counts, fitted, one)
    untouched = places - len(replaced)
    if fitted is None:
        unknown += untouched
    elif untouched:
        counts[PartLife(fitted, None, False)] += untouched
    return PartLives(counts, unknown)


def _of_place(counts: Counter[PartLife], fitted: date | None, ended: Sequence[Replaced]) -> int:
    """Adds the lives of one place; 1 if its first part came nobody knows when, else 0."""
    began, unknown = fitted, 0
    for one in sorted(ended):
        if fitted is not None and one.on <= fitted:
            continue
        if began is None:
            unknown = 1
        elif one.on > began:
            counts[PartLife(began, one.on, one.failed)] += 1
        began = one.on
    if began is None:
        return 1
    counts[PartLife(began, None, False)] += 1
    return unknown


def together(all_lives: Sequence[PartLives]) -> PartLives:
    """Several groups as one."""
    counts: Counter[PartLife] = Counter()
    for one in all_lives:
        counts.update(one.counts)
    return PartLives(counts, sum(one.unknown for one in all_lives))
