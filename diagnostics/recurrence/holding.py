"""How long the mends of several groups hold, side by side, and which of them held best; pure.

A mend is watched from its passed proof run until the fault came back or watching ended. What a
group cannot say is None: no share after the longest time watched, no median while more than half
hold. Groups of fewer than `FEWEST` mends are shown and never called best.
"""

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.recurrence.survival import LogRank, Survival, compare_groups, kaplan_meier

# Engineering judgement: of four mends one return moves the share by a quarter.
FEWEST = 5


@dataclass(frozen=True)
class HeldMend:
    """`held` > 0 in one unit for all; `came_back` False while it holds or watching ended."""

    group: Hashable
    stratum: Hashable
    held: float
    came_back: bool


@dataclass(frozen=True)
class Estimate:
    """A figure with its two-sided limits; a limit that the data do not give is None."""

    value: float
    lower: float | None
    upper: float | None


@dataclass(frozen=True, eq=False)
class GroupHolding:
    """`still` is the share holding at each of the marks asked for, in their order."""

    group: Hashable
    mends: int
    came_back: int
    longest: float
    course: Survival
    still: tuple[Estimate | None, ...]
    median: Estimate | None
    at_risk: tuple[int, ...]

    @property
    def is_small(self) -> bool:
        return self.mends < FEWEST


@dataclass(frozen=True, eq=False)
class Best:
    """The group with the largest share at a mark; `next_group` None when no other can be judged.

    `p` is that of the log-rank test over all groups that can be judged; nan without one.
    """

    group: Hashable
    mark: float
    still: Estimate
    next_group: Hashable | None
    p: float


@dataclass(frozen=True, eq=False)
class Holding:
    groups: tuple[GroupHolding, ...]
    log_rank: LogRank
    best: Best | None


def holding_of(
    mends: Sequence[HeldMend],
    *,
    marks: Sequence[float],
    at_risk_marks: Sequence[float] = (),
    level: float = 0.90,
) -> Holding:
    """Every group's course with its figures, the largest group first.

    Parameters
    ----------
    mends : sequence of HeldMend
    marks : sequence of float
        Times at which the share that still holds is wanted, in the unit of `held`, ascending. The
        best group is named at the last of them that two groups reach, else that one reaches.
    at_risk_marks : sequence of float
        Times at which those still watched are counted.
    level : float
        Two-sided level of all limits.

    Returns
    -------
    Holding

    Raises
    ------
    ValueError
        A figure is out of range.
    """
    by_group: dict[Hashable, list[HeldMend]] = {}
    for mend in mends:
        by_group.setdefault(mend.group, []).append(mend)
    groups = tuple(
        _group(name, own, marks, at_risk_marks, level)
        for name, own in sorted(by_group.items(), key=lambda item: (-len(item[1]), str(item[0])))
    )
    judged = [mend for mend in mends if len(by_group[mend.group]) >= FEWEST]
    return Holding(groups, _compared(mends), _best(groups, marks, _compared(judged).p))


def share_at(held: Sequence[float], course: Survival, mark: float, level: float) -> Estimate | None:
    """Share that holds beyond a time; None after the longest time watched.

    Notes
    -----
    Where nothing has come back yet, the lower limit is the exact binomial one of those watched to
    the mark, ``((1 - level) / 2)^(1 / n)``: Greenwood's formula would claim certainty there.

    References
    ----------
    C. J. Clopper and E. S. Pearson, Biometrika 26 (1934), 404-413.
    """
    step = int(np.searchsorted(course.time, mark, side="right")) - 1
    reached = sum(1 for one in held if one >= mark)
    if step < 0:
        if not reached:
            return None
        return Estimate(1.0, ((1 - level) / 2) ** (1 / reached), 1.0)
    share = float(course.survival[step])
    # Nothing holds any more: that stays so however long one goes on watching.
    if not reached and share > 0:
        return None
    return Estimate(share, _known(course.lower[step]), _known(course.upper[step]))


def median_of(course: Survival) -> Estimate | None:
    """When half have come back; None while more than half hold.

    Notes
    -----
    The limits are the times at which those of the share pass one half.

    References
    ----------
    R. Brookmeyer and J. Crowley, "A confidence interval for the median survival time", Biometrics
    38 (1982), 29-41.
    """
    if math.isnan(course.median):
        return None
    return Estimate(course.median, _first(course, course.lower), _first(course, course.upper))


def _first(course: Survival, limit: np.ndarray) -> float | None:
    """The first time at which a limit is at most one half; without limits at a share of 0, none."""
    found = np.flatnonzero(limit <= 0.5)
    return float(course.time[found[0]]) if len(found) else None


def _group(
    name: Hashable,
    own: Sequence[HeldMend],
    marks: Sequence[float],
    at_risk_marks: Sequence[float],
    level: float,
) -> GroupHolding:
    held = [mend.held for mend in own]
    course = kaplan_meier(held, [mend.came_back for mend in own], level=level)
    return GroupHolding(
        group=name,
        mends=len(own),
        came_back=sum(mend.came_back for mend in own),
        longest=max(held),
        course=course,
        still=tuple(share_at(held, course, mark, level) for mark in marks),
        median=median_of(course),
        at_risk=tuple(sum(1 for one in held if one >= mark) for mark in at_risk_marks),
    )


def _compared(mends: Sequence[HeldMend]) -> LogRank:
    return compare_groups(
        [mend.held for mend in mends],
        [mend.came_back for mend in mends],
        [mend.group for mend in mends],
        strata=[mend.stratum for mend in mends],
    )


def _best(groups: Sequence[GroupHolding], marks: Sequence[float], p: float) -> Best | None:
    judged = [one for one in groups if not one.is_small]
    # The latest time at which two can be compared says most.
    for least in (2, 1):
        for place in reversed(range(len(marks))):
            known = [(one.still[place], one) for one in judged]
            reached = [(still, one) for still, one in known if still is not None]
            if len(reached) < least:
                continue
            # Of equal shares, the one that more mends stand for.
            reached.sort(key=lambda pair: (-pair[0].value, -pair[1].mends))
            still, first = reached[0]
            others = [one for one in judged if one is not first]
            second = reached[1][1] if len(reached) > 1 else None
            return Best(
                first.group, marks[place], still, second and second.group, p if others else math.nan
            )
    return None


def _known(figure: float) -> float | None:
    return None if math.isnan(figure) else float(figure)
