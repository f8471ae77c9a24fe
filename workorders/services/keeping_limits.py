"""Limits of condition readings: set for a plant, a conveyor or a component, and taken back."""

import logging
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.condition_words import cannot_be_words
from plant.loop.condition import Quantity, cannot_be
from plant.models import Component, Conveyor, Plant, User
from plant.services.register_refusals import FigureRefused
from workorders.models import ConditionLimit
from workorders.services import due_owing

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class NewLimit:
    """For the plant unless a conveyor, or with it a component, is named.

    Without a value the wider limit counts again.
    """

    quantity: Quantity
    value: float | None
    conveyor: Conveyor | None = None
    component: Component | None = None
    why: str = ""


@transaction.atomic
def set_limit(*, plant: Plant, new: NewLimit, by: User | None, now: datetime) -> ConditionLimit:
    """Put a limit in force in place of the one before; refuses with FigureRefused."""
    if new.value is not None and cannot_be(new.quantity, new.value):
        raise FigureRefused(cannot_be_words(new.quantity), "value")
    if new.component is not None and new.quantity.is_of_belt:
        raise FigureRefused(_("This is read on the belt; leave the component empty."), "component")
    row = ConditionLimit.objects.create(
        plant=plant,
        conveyor=new.conveyor,
        component=new.component,
        quantity=new.quantity.value,
        value=new.value,
        why=new.why,
        set_at=now,
        set_by=by,
    )
    due_owing.owe(plant_id=plant.pk, conveyor_id=row.conveyor_id)
    logger.info("Limit %s of %s set by %s.", row, plant, by)
    return row


@transaction.atomic
def take_back_limit(*, limit_id: int, by: User | None, now: datetime) -> ConditionLimit:
    """The limit before it is in force again; taken back twice is taken back once."""
    row = ConditionLimit.objects.select_for_update().get(pk=limit_id)
    if row.undone_at is None:
        row.undone_at, row.undone_by = now, by
        row.save(update_fields=["undone_at", "undone_by"])
        due_owing.owe(plant_id=row.plant_id, conveyor_id=row.conveyor_id)
        logger.info("Limit %s taken back by %s.", row, by)
    return row
