"""Readings of the condition of components and belts: kept, corrected, taken back."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from plant.condition_words import cannot_be_words
from plant.loop.condition import Quantity, cannot_be
from plant.models import Belt, Component, ConditionReading, Conveyor, User
from plant.services.conveyor_lock import lock_conveyor, note_change
from plant.services.correcting import check_may_correct
from plant.services.reading_meters import OtherReadingThen
from plant.services.register_refusals import FigureRefused, check_version, row_of

logger = logging.getLogger(__name__)

# Clocks of other systems may run ahead a little; engineering judgement.
_CLOCKS_DIFFER = timedelta(minutes=5)


@dataclass(frozen=True)
class NewCondition:
    """What somebody read; without a component on the belt that is fitted."""

    quantity: Quantity
    value: float
    taken_at: datetime
    component_id: int | None = None
    set_number: int | None = None
    spot: str = ""
    taken_by: str = ""
    note: str = ""


@dataclass(frozen=True)
class Corrected:
    value: float
    taken_at: datetime
    spot: str = ""
    taken_by: str = ""
    note: str = ""


@transaction.atomic
def keep_conditions(
    *, conveyor_id: int, new: Sequence[NewCondition], by: User | None, now: datetime
) -> list[tuple[ConditionReading, bool]]:
    """Keep readings, all or none, and say of each whether it is new; one sent again is not.

    Refuses what cannot be (FigureRefused) and another figure for the same instant
    (OtherReadingThen). What is only unlikely is kept; the list asks about it.
    """
    conveyor = lock_conveyor(conveyor_id)
    kept = [_kept(conveyor, one, by, now) for one in new]
    if any(is_new for _row, is_new in kept):
        note_change(conveyor)
        logger.info("%d condition readings of %s kept by %s.", len(kept), conveyor, by)
    return kept


@transaction.atomic
def correct_condition(
    *,
    conveyor_id: int,
    reading_id: int,
    corrected: Corrected,
    version: int | None,
    by: User | None,
    now: datetime,
) -> ConditionReading:
    """Correct a reading; without a person only what no person wrote down (KeptByAPerson).

    Refuses with StaleForm, FigureRefused and OtherReadingThen.
    """
    conveyor = lock_conveyor(conveyor_id)
    row = row_of(conveyor.readings, reading_id)
    check_may_correct(row, by)
    check_version(row, version)
    _check(Quantity(row.quantity), corrected.value, corrected.taken_at, now)
    row.value, row.taken_at, row.spot = corrected.value, corrected.taken_at, corrected.spot
    row.taken_by, row.note = corrected.taken_by, corrected.note
    if _same_place(conveyor, row).exclude(pk=row.pk).filter(taken_at=row.taken_at).exists():
        raise _other_then()
    row.is_sure = False
    row.version += 1
    row.save()
    note_change(conveyor)
    logger.info("Condition reading %s of %s corrected by %s.", row.pk, conveyor, by)
    return row


@transaction.atomic
def judge_condition(*, conveyor_id: int, reading_id: int, is_sure: bool, by: User) -> None:
    """An unlikely reading is right as it stands and not asked about any more, or is again."""
    conveyor = lock_conveyor(conveyor_id)
    row = row_of(conveyor.readings, reading_id)
    row.is_sure = is_sure
    row.version += 1
    row.save()
    logger.info("Condition reading %s of %s held for %s by %s.", row.pk, conveyor, is_sure, by)


@transaction.atomic
def take_back_condition(
    *, conveyor_id: int, reading_id: int, by: User | None, version: int | None = None
) -> None:
    """Remove a reading; the history keeps it. Refuses as `correct_condition` does."""
    conveyor = lock_conveyor(conveyor_id)
    row = row_of(conveyor.readings, reading_id)
    check_may_correct(row, by)
    check_version(row, version)
    row.delete()
    note_change(conveyor)
    logger.info("Condition reading %s of %s taken back by %s.", row, conveyor, by)


def _kept(
    conveyor: Conveyor, new: NewCondition, by: User | None, now: datetime
) -> tuple[ConditionReading, bool]:
    _check(new.quantity, new.value, new.taken_at, now)
    component, belt = _read_on(conveyor, new)
    row = ConditionReading(
        conveyor=conveyor,
        component=component,
        belt=belt,
        set_number=new.set_number,
        spot=new.spot,
        quantity=new.quantity.value,
        value=new.value,
        taken_at=new.taken_at,
        taken_by=new.taken_by,
        note=new.note,
        kept_by=by,
    )
    there = _same_place(conveyor, row).filter(taken_at=row.taken_at).first()
    if there is None:
        row.save()
        return row, True
    if there.value != row.value:
        raise _other_then()
    return there, False


def _read_on(conveyor: Conveyor, new: NewCondition) -> tuple[Component | None, Belt | None]:
    if new.quantity.is_of_belt:
        if new.component_id is not None or new.set_number is not None:
            raise FigureRefused(_("This is read on the belt; leave the component empty."),
                                "component")  # fmt: skip
        belt = conveyor.belts.filter(removed_on__isnull=True).first()
        if belt is None:
            raise FigureRefused(_("This conveyor has no belt on it."), "quantity")
        return None, belt
    if new.component_id is None:
        raise FigureRefused(_("Say which component it was read on."), "component")
    component = row_of(conveyor.components, new.component_id)
    if new.set_number is not None and not 1 <= new.set_number <= component.count:
        raise FigureRefused(
            _("There are %(count)d sets in this group.") % {"count": component.count}, "set"
        )
    return component, None


def _check(quantity: Quantity, value: float, taken_at: datetime, now: datetime) -> None:
    if cannot_be(quantity, value):
        raise FigureRefused(cannot_be_words(quantity), "value")
    if taken_at > now + _CLOCKS_DIFFER:
        raise FigureRefused(_("That time is still to come."), "taken_at")


def _same_place(conveyor: Conveyor, row: ConditionReading) -> QuerySet[ConditionReading]:
    """Readings of the same quantity at the same place of the same thing."""
    return conveyor.readings.filter(
        component=row.component,
        belt=row.belt,
        set_number=row.set_number,
        spot__iexact=row.spot,
        quantity=row.quantity,
    )


def _other_then() -> OtherReadingThen:
    return OtherReadingThen(
        _("Another reading of this place is kept for that very time; correct that one."),
        "taken_at",
    )
