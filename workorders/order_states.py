"""The states of a work order, its legal moves, who makes them and what they must say.

Knows no table. Wire words are the values; people read `workorders/order_words.py`.
"""

from enum import StrEnum


class OrderState(StrEnum):
    PROPOSED = "proposed"
    APPROVED = "approved"
    SCHEDULED = "scheduled"
    IN_HAND = "in_hand"
    DONE = "done"
    PROVED = "proved"
    DECLINED = "declined"
    CANCELLED = "cancelled"


class Waiting(StrEnum):
    """What an open order can stand still for, whatever its state."""

    PARTS = "parts"
    OUTAGE = "outage"
    PEOPLE = "people"


class Duty(StrEnum):
    """Whose business a move is."""

    PLAN = "plan"
    DO = "do"
    PROVE = "prove"


OPEN_STATES = frozenset(
    {OrderState.PROPOSED, OrderState.APPROVED, OrderState.SCHEDULED, OrderState.IN_HAND}
)
# Ended without work; an order can come back from them.
SET_ASIDE_STATES = frozenset({OrderState.DECLINED, OrderState.CANCELLED})

MOVES: dict[OrderState, frozenset[OrderState]] = {
    OrderState.PROPOSED: frozenset(
        {OrderState.APPROVED, OrderState.DECLINED, OrderState.CANCELLED}
    ),
    OrderState.APPROVED: frozenset(
        {OrderState.SCHEDULED, OrderState.IN_HAND, OrderState.PROPOSED, OrderState.CANCELLED}
    ),
    OrderState.SCHEDULED: frozenset(
        {OrderState.IN_HAND, OrderState.APPROVED, OrderState.CANCELLED}
    ),
    # Work begun by mistake goes back to where it was planned.
    OrderState.IN_HAND: frozenset(
        {OrderState.DONE, OrderState.SCHEDULED, OrderState.APPROVED, OrderState.CANCELLED}
    ),
    OrderState.DONE: frozenset({OrderState.PROVED, OrderState.IN_HAND}),
    OrderState.PROVED: frozenset(),
    OrderState.DECLINED: frozenset({OrderState.PROPOSED}),
    OrderState.CANCELLED: frozenset({OrderState.PROPOSED}),
}
_LINE = (
    OrderState.PROPOSED,
    OrderState.APPROVED,
    OrderState.SCHEDULED,
    OrderState.IN_HAND,
    OrderState.DONE,
    OrderState.PROVED,
)


def may_move(old: OrderState, new: OrderState) -> bool:
    return new in MOVES[old]


def is_back(old: OrderState, new: OrderState) -> bool:
    """A move that takes something back: down the line of work, or out of having been set aside."""
    if old in SET_ASIDE_STATES:
        return True
    return new in _LINE and _LINE.index(new) < _LINE.index(old)


def duty_of(old: OrderState, new: OrderState) -> Duty:
    """Who makes a move: hands begin and finish, a proof run proves, all else is planning."""
    if new is OrderState.PROVED:
        return Duty.PROVE
    if new in {OrderState.IN_HAND, OrderState.DONE} and not is_back(old, new):
        return Duty.DO
    return Duty.PLAN


def needs_why(old: OrderState, new: OrderState) -> bool:
    """Whoever sets an order aside or takes a move back says why."""
    return new in SET_ASIDE_STATES or is_back(old, new)
