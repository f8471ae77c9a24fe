"""Condition readings of a conveyor, kept as people keep them."""

from datetime import UTC, datetime, timedelta
from typing import Any

from plant.loop.condition import Quantity
from plant.models import ConditionReading, Conveyor
from plant.services.reading_condition import NewCondition, keep_conditions

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
LATER = START + timedelta(days=200)


def read(
    conveyor: Conveyor,
    of: str,
    value: float,
    *,
    day: float = 0,
    quantity: Quantity = Quantity.LAGGING_THICKNESS,
    **more: Any,
) -> ConditionReading:
    """A reading on a component of this name; `of` empty is the belt."""
    by = more.pop("by", None)
    new = NewCondition(
        quantity=quantity,
        value=value,
        taken_at=START + timedelta(days=day),
        component_id=conveyor.components.get(name=of).pk if of else None,
        **more,
    )
    kept = keep_conditions(conveyor_id=conveyor.pk, new=[new], by=by, now=LATER)
    return kept[0][0]
