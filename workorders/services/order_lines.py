"""Steps and parts of an order that went elsewhere: what is left stays in order."""

from decimal import Decimal

from workorders.models import OrderPart, WorkOrder


def renumber(order: WorkOrder) -> None:
    """Steps go from 1 without gaps; from the first on, so that no place is taken twice."""
    for place, step in enumerate(order.steps.order_by("place"), start=1):
        if step.place != place:
            step.place = place
            step.save(update_fields=["place"])


def still_wanted(line: OrderPart) -> Decimal:
    """What is reserved and not used yet. [units of the part]"""
    return max(line.amount - line.used, Decimal(0))


def want_less(line: OrderPart, amount: Decimal) -> None:
    """A line that neither wants nor used anything goes."""
    line.amount -= amount
    if line.amount == 0 and line.used == 0:
        line.delete()
        return
    line.version += 1
    line.save(update_fields=["amount", "version"])


def want_more(order: WorkOrder, part_id: int, amount: Decimal) -> None:
    line, _made = OrderPart.objects.get_or_create(
        order=order, part_id=part_id, defaults={"amount": Decimal(0)}
    )
    line.amount += amount
    line.version += 1
    line.save(update_fields=["amount", "version"])
