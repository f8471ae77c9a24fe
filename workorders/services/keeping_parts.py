"""The catalogue is kept: parts come in, are put right, are counted, retire and come back."""

import logging
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from plant.models import User
from plant.services.register_refusals import FieldRefusal, check_version
from workorders.models import Part, PartMovement
from workorders.order_states import OPEN_STATES
from workorders.services.part_stock import change_stock, lock_part

logger = logging.getLogger(__name__)

_OPEN = sorted(state.value for state in OPEN_STATES)


class PartNumberTaken(FieldRefusal):
    code = "part_number_taken"


class PartIsWanted(FieldRefusal):
    code = "part_is_wanted"


class UnitHasHistory(FieldRefusal):
    code = "part_unit_has_history"


@transaction.atomic
def add_part(
    *, plant_id: int, values: Mapping[str, Any], on_hand: Decimal, by: User | None, now: datetime
) -> Part:
    """Add a part and what there is of it; refuses with PartNumberTaken and as change_stock."""
    part = Part(plant_id=plant_id, **values)
    _save(part)
    if on_hand:
        why = _("When it came into the catalogue.")
        counted = PartMovement.Kind.COUNTED
        change_stock(part, on_hand, counted, by=by, now=now, why=why, field="on_hand")
    logger.info("Part %s added by %s.", part.number, by)
    return part


@transaction.atomic
def edit_part(
    *, part_id: int, values: Mapping[str, Any], version: int | None, by: User | None
) -> Part:
    """Refuses with StaleForm, PartNumberTaken and UnitHasHistory."""
    part = lock_part(part_id)
    check_version(part, version)
    unit = part.unit
    for name, value in values.items():
        setattr(part, name, value)
    if part.unit != unit and (part.movements.exists() or part.order_parts.exists()):
        raise UnitHasHistory(
            _("It has been counted or asked for already. Retire it and add one with this unit."),
            "unit",
        )
    part.version += 1
    _save(part)
    logger.info("Part %s changed by %s.", part.number, by)
    return part


@transaction.atomic
def retire_part(*, part_id: int, today: date, by: User | None) -> Part:
    """Refuses with PartIsWanted while an open order still wants it; a second time does nothing."""
    part = lock_part(part_id)
    wanted = part.order_parts.filter(order__state__in=_OPEN).select_related("order")
    numbers = [one.order.number for one in wanted if one.amount > one.used]
    if numbers:
        raise PartIsWanted(
            _("%(orders)s still want it. Take it off them first.")
            % {"orders": ", ".join(numbers[:5])}
        )
    if part.retired_on is None:
        part.retired_on = today
        part.version += 1
        part.save(update_fields=["retired_on", "version"])
        logger.info("Part %s retired by %s.", part.number, by)
    return part


@transaction.atomic
def bring_part_back(*, part_id: int, by: User | None) -> Part:
    part = lock_part(part_id)
    if part.retired_on is not None:
        part.retired_on = None
        part.version += 1
        part.save(update_fields=["retired_on", "version"])
        logger.info("Part %s brought back by %s.", part.number, by)
    return part


@transaction.atomic
def count_part(
    *,
    part_id: int,
    there_are: Decimal,
    why: str,
    version: int | None,
    by: User | None,
    now: datetime,
) -> Part:
    """Somebody counted; refuses with StaleForm when something was booked since they looked."""
    part = lock_part(part_id)
    # Pressed twice, or counted by somebody else to the same number: nothing is left to say.
    if there_are == part.on_hand and version != part.version:
        return part
    check_version(part, version)
    change = there_are - part.on_hand
    counted = PartMovement.Kind.COUNTED
    change_stock(part, change, counted, by=by, now=now, why=why, field="on_hand")
    return part


def _save(part: Part) -> None:
    taken = PartNumberTaken(_("Another part of this plant has this number."), "number")
    twins = Part.objects.filter(plant_id=part.plant_id, number__iexact=part.number)
    if twins.exclude(pk=part.pk).exists():
        raise taken
    try:
        with transaction.atomic():
            part.save()
    except IntegrityError as error:
        # Two people gave the number at the same moment; the constraint let one of them through.
        raise taken from error
