"""Rows of the parts catalogue with plant words."""

from datetime import date, timedelta
from decimal import Decimal
from itertools import count
from typing import Any

from plant.models import Plant
from tests.workorders.factories import NOW
from workorders.models import OrderPart, Part, PartDue, WorkOrder

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
    return PartDue.objects.create(part=part, amount=Decimal(amount), due_on=day(days), **fields)


def day(days: int) -> date:
    return TODAY + timedelta(days=days)
