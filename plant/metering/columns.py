"""Readings of one meter as columns: what is counted between each and the next, all at once.

The rule is that of `readings.rise`; here it stands for many belts with many readings.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from plant.metering.readings import Reading, WentOn

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class MeterColumns:
    """Readings in the order of time.

    Attributes
    ----------
    at_s : array of float
        When, as seconds since 1970 began in UTC. [s]
    figure : array of float
        What the meter showed [h or t]; nan where nobody read it before it was replaced.
    passed : array of float
        10^n where a meter of n digits rolled over, else 0. [h or t]
    goes_on_from : array of float
        What the next figure is counted from. [h or t]
    """

    at_s: Floats
    figure: Floats
    passed: Floats
    goes_on_from: Floats

    def __len__(self) -> int:
        return len(self.at_s)

    def part(self, first: int, last: int) -> "MeterColumns":
        """Those at the places from `first` on, without `last`."""
        at = slice(first, last)
        return MeterColumns(self.at_s[at], self.figure[at], self.passed[at], self.goes_on_from[at])

    def rises(self) -> Floats:
        """What came in between each reading and the next; nan where that is not known."""
        return self.figure[1:] + self.passed[1:] - self.goes_on_from[:-1]


def columns_of(readings: Sequence[Reading]) -> MeterColumns:
    return columns_from(
        (one.at.timestamp(), one.figure, one.went_on.value, one.digits, one.new_first)
        for one in readings
    )


def columns_from(rows: Iterable[tuple[Any, ...]]) -> MeterColumns:
    """From rows of second, figure, how the meter went on, digits and first figure of a new one."""
    at_s, figure, went_on, digits, new_first = [*zip(*rows, strict=True)] or [()] * 5
    shown, first = np.array(figure, dtype=float), np.array(new_first, dtype=float)
    ways = np.array(went_on, dtype=str)
    passed = np.where(
        ways == WentOn.ROLLED_OVER.value, 10.0 ** np.nan_to_num(np.array(digits, dtype=float)), 0.0
    )
    return MeterColumns(
        np.array(at_s, dtype=float),
        shown,
        passed,
        np.where(ways == WentOn.REPLACED.value, first, shown),
    )
