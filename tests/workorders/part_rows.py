"""Rows of the parts catalogue with plant words."""

from datetime import date, timedelta
from decimal import Decimal
from itertools import count
from typing import Any

from plant.models import Plant
from tests.workorders.factories import NOW
from workorders.models import OrderPart, Part, PartDue, PartMovement, PartUse, WorkOrder

TODAY = NOW.date()
_numbers = count(1)


def make_part(plant: Plant, on_hand: str = "0", **fields: Any) -> Part:
    defaults = {"number": f"R-{next(_numbers)}", "name": "carrying roll", "kind": Part.Kind.ROLL}
    return Part.objects.create(plant=plant, on_hand=Decimal(on_hand), **{**defaults, **fields})


def need(order: WorkOrder, part: Part, amount: str, used: str = "0") -> OrderPart:
    return OrderPart.objects.create(
        order=order, part=part, amount=Decimal(amount), used=Decimal(used)
    )


def expect(part: Part, amount: str, days: int = 7, **fields: Any) -> PartDue:
    given = {"due_on": day(days), **fields}
    return PartDue.objects.create(part=part, amount=Decimal(amount), **given)


def day(days: int) -> date:
    return TODAY + timedelta(days=days)


def make_rows(order: WorkOrder) -> dict[str, int]:
    """A part with a row of everything there is of it, by the beginnings of addresses' names."""
    plant = order.conveyor.plant
    part = make_part(plant, "4", number="R-159", known_as=["159 mm"], kept_at="shed 2")
    line = need(order, part, "6", used="2")
    use = PartUse.objects.create(part=part, on="troughing_idlers", by="roll")
    PartUse.objects.create(part=part, on="belt_cleaner", conveyor=order.conveyor)
    PartMovement.objects.create(
        part=part, order=order, kind="used", change=-2, on_hand_after=4, at=NOW
    )
    expect(part, "3", called_off_at=NOW)
    due = expect(part, "5", note="second pallet")
    return {
        "part": part.pk,
        "part-due": due.pk,
        "part-due-new": part.pk,
        "part-use": use.pk,
        "part-use-new": part.pk,
        "order-part": line.pk,
    }
