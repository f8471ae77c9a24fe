"""Which permission each duty of an order asks for."""

from plant.roles import Permission
from workorders.order_states import MOVES, Duty, OrderState, duty_of

PERMISSIONS: dict[Duty, Permission] = {
    Duty.PLAN: Permission.PLAN_ORDER,
    Duty.DO: Permission.DO_ORDER,
    Duty.PROVE: Permission.PROVE_ORDER,
}


def permission_for(old: OrderState, new: OrderState) -> Permission:
    return PERMISSIONS[duty_of(old, new)]


def moves_from(state: OrderState) -> list[OrderState]:
    """Legal moves in the order of the line of work: onward first, then setting aside."""
    return [new for new in OrderState if new in MOVES[state]]
