"""Something that wears was made new: written down, and taken back when it was wrong."""

import logging
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.models import Conveyor, User
from plant.services.conveyor_lock import lock_conveyor, note_change
from plant.services.register_refusals import FieldRefusal, FigureRefused
from workorders.life_subjects import Renewed
from workorders.models import Renewal, WorkOrder
from workorders.selectors.renewals import SpotKey

logger = logging.getLogger(__name__)


class RenewedThenAlready(FieldRefusal):
    code = "renewed_then_already"


@dataclass(frozen=True)
class NewRenewal:
    """`is_all` renews every spot of the part, such as the lagging from edge to edge."""

    what: Renewed
    at: SpotKey
    renewed_on: date
    had_failed: bool
    is_all: bool = True
    note: str = ""
    order: WorkOrder | None = None


@transaction.atomic
def record_renewal(*, conveyor_id: int, new: NewRenewal, by: User | None, now: datetime) -> Renewal:
    """Let wear start anew there; refuses with FigureRefused and RenewedThenAlready."""
    conveyor = lock_conveyor(conveyor_id)
    if new.what is Renewed.ROLLS:
        raise FigureRefused(_("Rolls are changed on the page of their set."), "what")
    if new.renewed_on > conveyor.plant.day_of(now):
        raise FigureRefused(_("That day is still to come."), "renewed_on")
    row = _row(conveyor, new, by, now)
    same = Renewal.objects.counting().filter(
        component=row.component_id,
        belt=row.belt_id,
        set_number=row.set_number,
        spot=row.spot,
        what=row.what,
        renewed_on=row.renewed_on,
    )
    if same.exists():
        raise RenewedThenAlready(_("This is written down for that day already."), "renewed_on")
    row.save()
    note_change(conveyor)
    logger.info("Renewal %s of %s recorded by %s.", row, conveyor, by)
    return row


@transaction.atomic
def take_back_renewal(*, renewal_id: int, by: User | None, now: datetime) -> Renewal:
    """The readings before it count again; taken back twice is taken back once."""
    conveyor = lock_conveyor(
        Renewal.objects.values_list("conveyor_id", flat=True).get(pk=renewal_id)
    )
    row = Renewal.objects.select_for_update().get(pk=renewal_id)
    if row.undone_at is None:
        row.undone_at, row.undone_by = now, by
        row.save(update_fields=["undone_at", "undone_by"])
        note_change(conveyor)
        logger.info("Renewal %s of %s taken back by %s.", row, conveyor, by)
    return row


def _row(conveyor: Conveyor, new: NewRenewal, by: User | None, now: datetime) -> Renewal:
    return Renewal(
        conveyor=conveyor,
        component_id=new.at.component_id,
        belt_id=new.at.belt_id,
        set_number=new.at.set_number,
        spot="" if new.is_all else new.at.spot,
        what=new.what.value,
        renewed_on=new.renewed_on,
        had_failed=new.had_failed,
        note=new.note,
        order=new.order,
        kept_at=now,
        kept_by=by,
    )
