"""Things that are due, as the reckoning of a belt leaves them."""

from datetime import date
from typing import Any

from plant.models import Conveyor
from workorders.models import DueItem


def make_due(conveyor: Conveyor, **fields: Any) -> DueItem:
    """Lagging that has worn to its limit."""
    why = {"quantity": "lagging_thickness", "spot": "", "last": 5.0, "limit": 5.0, "used": 3}
    usual = {"key": "w:1:lagging", "what": "lagging", "reason": "limit_met", "where": "Drive"}
    more = {"count": 1, "due_on": date(2026, 11, 2), "why": why, **fields}
    return DueItem.objects.create(conveyor=conveyor, **{**usual, **more})
