"""Readings of one meter as columns: what is counted between each and the next, all at once.

The rule is that of `readings.rise`; here it stands for many belts with many readings.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plant.metering.readings import Reading

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

    def rises(self) -> Floats:
        """What came in between each reading and the next; nan where that is not known."""
        return self.figure[1:] + self.passed[1:] - self.goes_on_from[:-1]


def columns_of(readings: Sequence[Reading]) -> MeterColumns:
    """Of readings in the order of time."""
    rows = [
        (one.at.timestamp(), _number(one.figure), _number(one.digits), _number(one.new_first))
        for one in readings
    ]
    return columns_from(np.array(rows).reshape(-1, 4).T)


def columns_from(given: Floats) -> MeterColumns:
    """From four rows: seconds, figures, digits and first figures; nan where there is none.

    Only a meter that rolled over has digits, and only a replaced one a first figure; see
    `readings.lacks`.
    """
    at_s, figure, digits, new_first = given
    return MeterColumns(
        at_s,
        figure,
        np.where(np.isnan(digits), 0.0, 10.0**digits),
        np.where(np.isnan(new_first), figure, new_first),
    )


NO_READINGS = columns_from(np.empty((4, 0)))


def _number(figure: float | None) -> float:
    return math.nan if figure is None else float(figure)
