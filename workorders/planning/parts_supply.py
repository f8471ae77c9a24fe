"""Who gets which parts: what is here and what is due, shared out in the order of need; pure.

Orders that are needed sooner take first: of what is here, then of what comes soonest. What was due
before today and has not come is promised to nobody: it must be given a new day.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, order=True)
class Rank:
    """Whose turn it is; the smallest first.

    Attributes
    ----------
    needed_on : date
        When the work is planned; date.max for work without a day.
    urgency : int
        0 is the most urgent.
    number : tuple
        What tells equals apart, the older order first.
    """

    needed_on: date
    urgency: int
    number: tuple[int, str]


@dataclass(frozen=True)
class Need:
    """`amount` [units of the part] of part `part` that line `key` of an order still wants."""

    key: int
    part: int
    amount: Decimal
    rank: Rank


@dataclass(frozen=True)
class Coming:
    """`amount` [units of the part] of part `part` that is to come on a day."""

    part: int
    amount: Decimal
    due_on: date


@dataclass(frozen=True)
class Covered:
    """What a need gets [units of the part].

    Attributes
    ----------
    here : Decimal
        Of what is on hand now.
    coming : tuple of Coming
        Of what is due, soonest first, each with the amount that is for this need.
    short : Decimal
        Neither here nor due.
    """

    here: Decimal = Decimal(0)
    coming: tuple[Coming, ...] = ()
    short: Decimal = Decimal(0)

    @property
    def ready_on(self) -> date | None:
        """The day the last of it that is due comes; None when nothing has to come."""
        return self.coming[-1].due_on if self.coming else None


@dataclass
class _Heap:
    """What is left of one part while it is shared out."""

    here: Decimal
    coming: list[Coming]

    def take(self, wanted: Decimal) -> Covered:
        here = min(wanted, self.here)
        self.here -= here
        missing, taken = wanted - here, []
        while missing > 0 and self.coming:
            first = self.coming.pop(0)
            amount = min(missing, first.amount)
            taken.append(Coming(first.part, amount, first.due_on))
            missing -= amount
            if amount < first.amount:
                self.coming.insert(0, Coming(first.part, first.amount - amount, first.due_on))
        return Covered(here, tuple(taken), missing)


def share_out(
    needs: Iterable[Need],
    on_hand: Mapping[int, Decimal],
    coming: Iterable[Coming],
    *,
    today: date,
) -> dict[int, Covered]:
    """Cover each need as far as there is something for it.

    Parameters
    ----------
    needs : iterable of Need
        Amounts of 0 or less want nothing.
    on_hand : mapping of int to Decimal
        By part, >= 0; a part that is not named has nothing.
    coming : iterable of Coming
        What is still to come.
    today : date
        What was due before is left out.

    Returns
    -------
    dict of int to Covered
        By `key` of the need; here, coming and short together make its amount.
    """
    due: dict[int, list[Coming]] = defaultdict(list)
    for one in sorted(coming, key=lambda one: one.due_on):
        if one.due_on >= today and one.amount > 0:
            due[one.part].append(one)
    heaps: dict[int, _Heap] = {}
    covered = {}
    for need in sorted(needs, key=lambda need: (need.rank, need.key)):
        if need.part not in heaps:
            heaps[need.part] = _Heap(on_hand.get(need.part, Decimal(0)), due[need.part])
        covered[need.key] = heaps[need.part].take(max(need.amount, Decimal(0)))
    return covered
