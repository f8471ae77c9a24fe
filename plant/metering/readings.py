"""A reading of a meter, and how the meter went on to it from the reading before."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class MeterQuantity(StrEnum):
    RUNNING_HOURS = "running_hours"
    TONNES = "tonnes"

    @property
    def unit(self) -> str:
        return "h" if self is MeterQuantity.RUNNING_HOURS else "t"


class WentOn(StrEnum):
    """How the meter went on since the reading before."""

    USUAL = "usual"
    ROLLED_OVER = "rolled_over"
    REPLACED = "replaced"


@dataclass(frozen=True)
class Reading:
    """What a meter showed.

    Parameters
    ----------
    at : datetime
        When, with its zone.
    figure : float or None
        What the meter showed [h or t], 0 or more; of a replaced meter its last figure. None when
        nobody read the old meter before it went.
    went_on : WentOn
        How the meter came to this figure.
    digits : int or None
        Whole digits of a meter that rolled over: one with 5 shows 99999 and then 00000.
    new_first : float or None
        What the new meter showed at the same instant [h or t], when the old one was replaced.
    """

    at: datetime
    figure: float | None
    went_on: WentOn = WentOn.USUAL
    digits: int | None = None
    new_first: float | None = None

    @property
    def goes_on_from(self) -> float:
        """The figure that the next reading is counted from."""
        figure = self.new_first if self.went_on is WentOn.REPLACED else self.figure
        if figure is None:
            raise ValueError("a reading has a figure, a replaced meter a first one")
        return figure


def rise(before: Reading, reading: Reading) -> float | None:
    """How much came in between two readings that follow each other.

    Returns
    -------
    float or None
        [h or t]; None when the old meter was replaced and nobody had read it.

    Notes
    -----
    A meter of n digits that rolled over once has passed 10^n: rise = figure + 10^n - before.
    """
    if reading.figure is None:
        return None
    passed = 10**reading.digits if reading.went_on is WentOn.ROLLED_OVER and reading.digits else 0
    return reading.figure + passed - before.goes_on_from


def hours_between(first: datetime, last: datetime) -> float:
    """Calendar time [h]."""
    return (last - first).total_seconds() / 3600


class Lack(StrEnum):
    """Why the parts of a reading do not go together."""

    FIGURE = "figure_missing"
    DIGITS = "digits_missing"
    NEW_FIRST = "new_first_missing"
    DIGITS_UNASKED = "digits_unasked"
    NEW_FIRST_UNASKED = "new_first_unasked"


def lacks(
    went_on: WentOn, *, has_figure: bool, has_digits: bool, has_new_first: bool
) -> list[Lack]:
    """What is missing for this way of going on, and what is too much for it.

    Only a meter that was replaced may have gone unread.
    """
    is_rolled_over = went_on is WentOn.ROLLED_OVER
    is_replaced = went_on is WentOn.REPLACED
    found = {
        Lack.FIGURE: not has_figure and not is_replaced,
        Lack.DIGITS: is_rolled_over and not has_digits,
        Lack.NEW_FIRST: is_replaced and not has_new_first,
        Lack.DIGITS_UNASKED: has_digits and not is_rolled_over,
        Lack.NEW_FIRST_UNASKED: has_new_first and not is_replaced,
    }
    return [lack for lack, is_so in found.items() if is_so]
