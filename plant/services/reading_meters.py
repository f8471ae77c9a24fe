"""Readings of a conveyor's meters: kept, and taken back when they were wrong."""

import logging
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from plant import meter_words
from plant.metering.plausibility import Fault, ImplausibleReading, check_step
from plant.metering.readings import MeterQuantity, WentOn, lacks
from plant.models import Conveyor, MeterReading, User
from plant.services.conveyor_lock import lock_conveyor
from plant.services.correcting import check_may_correct
from plant.services.register_refusals import FieldRefusal, FigureRefused, RowIsGone

logger = logging.getLogger(__name__)

# Clocks of other systems may run ahead a little; engineering judgement.
_CLOCKS_DIFFER = timedelta(minutes=5)
_FIELD_OF = {Fault.BEYOND_DIGITS: "digits", Fault.NOTHING_BEFORE: "went_on"}


class ImplausibleMeterReading(FieldRefusal):
    code = "implausible_reading"


class OtherReadingThen(FieldRefusal):
    code = "other_reading_then"


@dataclass(frozen=True)
class NewReading:
    """What somebody read; fields as in the table."""

    quantity: MeterQuantity
    read_at: datetime
    reading: Decimal | None
    went_on: WentOn = WentOn.USUAL
    digits: int | None = None
    new_meter_first: Decimal | None = None
    read_by: str = ""
    note: str = ""


@transaction.atomic
def keep_reading(
    *, conveyor_id: int, new: NewReading, by: User | None, now: datetime
) -> tuple[MeterReading, bool]:
    """Keep a reading and say whether it is new; the very same one sent again changes nothing.

    Refuses what lies ahead (FigureRefused), another figure for the same instant
    (OtherReadingThen) and what the meter cannot have shown (ImplausibleMeterReading).
    """
    conveyor = lock_conveyor(conveyor_id)
    _check_parts(new)
    if new.read_at > now + _CLOCKS_DIFFER:
        raise FigureRefused(_("That time is still to come."), "read_at")
    row = MeterReading(conveyor=conveyor, kept_by=by, **asdict(new))
    there = _same_meter(row).filter(read_at=new.read_at).first()
    if there is not None:
        return _as_sent_before(there, row), False
    before = _same_meter(row).filter(read_at__lt=new.read_at).first()
    after = _same_meter(row).filter(read_at__gt=new.read_at).last()
    _check_follows(conveyor, before, row)
    if after is not None:
        _check_follows(conveyor, row, after)
    row.save()
    logger.info("Meter reading %s of %s kept by %s.", row, conveyor, by)
    return row, True


@transaction.atomic
def take_back_reading(*, conveyor_id: int, reading_id: int, by: User | None) -> None:
    """Remove a reading; without a person only what no person wrote down (KeptByAPerson).

    Refuses when the one after it would not follow on the one before.
    """
    conveyor = lock_conveyor(conveyor_id)
    row = conveyor.meter_readings.filter(pk=reading_id).first()
    if row is None:
        raise RowIsGone(_("Somebody removed this while you had it open."))
    check_may_correct(row, by)
    before = _same_meter(row).filter(read_at__lt=row.read_at).first()
    after = _same_meter(row).filter(read_at__gt=row.read_at).last()
    if after is not None:
        try:
            _check_follows(conveyor, before, after)
        except ImplausibleMeterReading as refusal:
            raise ImplausibleMeterReading(
                _("Take back the reading of %(when)s first; without this one it cannot be. %(why)s")
                % {
                    "when": meter_words.when_words(after.read_at, conveyor.plant.zone_info),
                    "why": refusal,
                }
            ) from refusal
    logger.info("Meter reading %s of %s taken back by %s.", row, conveyor, by)
    row.delete()


def _check_parts(new: NewReading) -> None:
    found = lacks(
        new.went_on,
        has_figure=new.reading is not None,
        has_digits=new.digits is not None,
        has_new_first=new.new_meter_first is not None,
    )
    for lack in found:
        field, words = meter_words.LACK_WORDS[lack]
        raise FigureRefused(str(words), field)


def _same_meter(row: MeterReading) -> QuerySet[MeterReading]:
    """Readings of the same quantity and conveyor, the newest first."""
    return MeterReading.objects.filter(conveyor_id=row.conveyor_id, quantity=row.quantity)


def _as_sent_before(there: MeterReading, row: MeterReading) -> MeterReading:
    same = ("reading", "went_on", "digits", "new_meter_first")
    if any(getattr(there, name) != getattr(row, name) for name in same):
        raise OtherReadingThen(
            _("Another reading is kept for that very time; take that one back first."), "read_at"
        )
    return there


def _check_follows(conveyor: Conveyor, before: MeterReading | None, row: MeterReading) -> None:
    quantity = MeterQuantity(row.quantity)
    try:
        check_step(quantity, before.as_reading() if before else None, row.as_reading())
    except ImplausibleReading as error:
        words = meter_words.fault_words(error, quantity, conveyor.plant.zone_info)
        raise ImplausibleMeterReading(words, _FIELD_OF.get(error.fault, "reading")) from error
