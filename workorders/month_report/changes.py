"""Which belts got worse or better: two periods compared, many belts at once; pure.

With few cases a belt most things that look like a change are chance. A change counts as one when
its exact two-sided probability, adjusted for looking at many belts, is at most `ACCEPTED`; whatever
else moved is shown with its interval and called open.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from diagnostics.recurrence.false_discovery import adjusted_probabilities
from diagnostics.recurrence.periods import compare_periods

# A month of one belt says nothing by itself; three of them against the twelve before sometimes do.
LATER_MONTHS, EARLIER_MONTHS = 3, 12
LEVEL = 0.90
# Share of false findings accepted among the changes that are named; engineering judgement.
ACCEPTED = 0.10


class Verdict(StrEnum):
    WORSE = "worse"
    BETTER = "better"
    OPEN = "open"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Counted:
    """Cases of one belt, family or plant in two periods, and the exposure of each.

    `name` is the caller's; an exposure of None or 0 is not known.
    """

    name: str
    earlier: int
    later: int
    earlier_exposure: float | None
    later_exposure: float | None

    @property
    def is_comparable(self) -> bool:
        # A belt without a case in both periods has nothing to tell; leaving it out on the sum of
        # both counts, on which the test conditions, keeps the adjustment honest.
        known = bool(self.earlier_exposure and self.later_exposure)
        return known and self.earlier + self.later > 0


@dataclass(frozen=True)
class Change:
    """`ratio` is the later rate over the earlier one, with limits at `LEVEL`.

    None where there is none: ratio and upper limit without earlier cases, all without exposure.
    `adjusted_p` is held against `ACCEPTED`.
    """

    name: str
    earlier: int
    later: int
    ratio: float | None = None
    lower: float | None = None
    upper: float | None = None
    adjusted_p: float | None = None
    verdict: str = Verdict.UNKNOWN.value


def changes_of(counted: Sequence[Counted]) -> list[Change]:
    """Each compared with itself, adjusted for all of them; in the same order."""
    known = [one for one in counted if one.is_comparable]
    found = {one.name: Change(one.name, one.earlier, one.later) for one in counted}
    if known:
        compared = compare_periods(
            [one.earlier for one in known],
            [one.earlier_exposure for one in known],
            [one.later for one in known],
            [one.later_exposure for one in known],
            level=LEVEL,
        )
        adjusted = adjusted_probabilities(compared.p_two_sided)
        limits = (compared.ratio, compared.lower, compared.upper, adjusted)
        for one, figures in zip(known, np.column_stack(limits).tolist(), strict=True):
            found[one.name] = _change(one, *figures)
    return [found[one.name] for one in counted]


def _change(one: Counted, ratio: float, lower: float, upper: float, adjusted: float) -> Change:
    return Change(
        name=one.name,
        earlier=one.earlier,
        later=one.later,
        ratio=_finite(ratio),
        lower=_finite(lower),
        upper=_finite(upper),
        adjusted_p=adjusted,
        verdict=_verdict(ratio, adjusted).value,
    )


def _verdict(ratio: float, adjusted: float) -> Verdict:
    if adjusted > ACCEPTED:
        return Verdict.OPEN
    return Verdict.WORSE if ratio > 1 else Verdict.BETTER


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
