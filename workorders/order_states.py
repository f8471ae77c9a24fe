"""The states of a work order, its legal moves and its urgencies; knows no table."""

from enum import StrEnum


class OrderState(StrEnum):
    """Wire words are these values; people read `words`."""

    PROPOSED = "proposed"
    APPROVED = "approved"
    SCHEDULED = "scheduled"
    IN_HAND = "in_hand"
    DONE = "done"
    PROVED = "proved"
    DECLINED = "declined"
    CANCELLED = "cancelled"

    @property
    def words(self) -> str:
        return self.value.replace("_", " ")


class Urgency(StrEnum):
    STOP_NOW = "stop_now"
    THIS_SHIFT = "this_shift"
    NEXT_OUTAGE = "next_outage"
    WATCH = "watch"

    @property
    def words(self) -> str:
        return self.value.replace("_", " ")


OPEN_STATES = frozenset(
    {OrderState.PROPOSED, OrderState.APPROVED, OrderState.SCHEDULED, OrderState.IN_HAND}
)
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


def may_move(old: OrderState, new: OrderState) -> bool:
    return new in MOVES[old]
