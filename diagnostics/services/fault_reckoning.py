"""Recurring faults reckoned in the background: asked for by looking, owed, done, kept fresh.

A reckoning is owed from the moment somebody first looks at it; what stands is owed anew when
cases, readings or belts have changed or the day has, and is forgotten when nobody looks any more.
"""

import logging
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from diagnostics.fault_choice import FaultChoice
from diagnostics.models import FaultReckoning
from diagnostics.selectors import reckoned_faults
from diagnostics.services import fault_work
from plant.models import Plant
from plant.services.claiming import MOST_BEGINNINGS, claim, is_silent

logger = logging.getLogger(__name__)

# Beyond this the ones looked at longest ago go: two fixed days can be chosen in many ways.
MOST_A_PLANT = 60
# Looking writes no more often than this.
_NOTED_EVERY = timedelta(minutes=5)


def look(plant: Plant, choice: FaultChoice, now: datetime) -> FaultReckoning:
    """The reckoning of a choice as it stands; owed when there is none yet, or a new day has begun.

    One that was refused or stopped is tried again on the next day that somebody looks at it, or
    by `ask_again`.
    """
    row, is_new = _row(plant, choice, now)
    if is_new:
        logger.info("Faults of %s (%s) are looked at for the first time.", plant.code, row)
        _forget_beyond(plant)
        _wake()
    elif now - row.looked_at > _NOTED_EVERY:
        before = row.looked_at
        row.looked_at = now
        row.save(update_fields=["looked_at"])
        _owe_on_a_new_day(row, choice, before, now)
    return row


def ask_again(*, reckoning_id: int, now: datetime) -> None:
    """Owe a reckoning anew; while it is owed already nothing changes."""
    rows = FaultReckoning.objects.filter(pk=reckoning_id, owed_at__isnull=True)
    if rows.update(owed_at=now, times_begun=0, progress=0.0, refusal="", stop_asked_at=None):
        _wake()


def ask_stop(*, reckoning_id: int, now: datetime) -> None:
    """Stop one that is owed; what stood before stands on."""
    owed = FaultReckoning.objects.owed().filter(pk=reckoning_id)
    owed.update(stop_asked_at=now)
    # Nobody has begun, or nobody is left to hear it: it stops here.
    fault_work.end(owed.filter(is_silent(now)), refusal=fault_work.STOPPED)


def do_owed() -> int:
    """Reckon what is owed and what has become stale, one after the other; returns how many."""
    now = timezone.now()
    if not reckoned_faults.is_anything_due(now):
        return 0
    owe_stale(now)
    done, most = 0, FaultReckoning.objects.owed().count()
    if not most:
        return 0
    while (one := _next(is_chosen_too=done < most)) is not None:
        if one.times_begun > MOST_BEGINNINGS:
            fault_work.refuse(one, "begun_too_often")
        else:
            fault_work.run(one)
        done += 1
    return done


def _next(*, is_chosen_too: bool) -> FaultReckoning | None:
    """What always stands goes before what people chose.

    Of that no more than were owed when the sweep began: whoever keeps choosing other days would
    keep the sweeps that follow waiting for ever.
    """
    owed = FaultReckoning.objects.owed()
    rows = owed if is_chosen_too else owed.filter(is_usual=True)
    return claim(rows, "-is_usual", "owed_at", progress=0.0)


def reckon_now(
    plant: Plant, *, tell: fault_work.Tell, choice: FaultChoice | None = None
) -> FaultReckoning:
    """Reckon a choice, else the plant's usual one, in this process; `tell` hears how far it is.

    Whoever works at it meanwhile keeps nothing.
    """
    now = timezone.now()
    row = _standing(plant, now) if choice is None else _row(plant, choice, now)[0]
    FaultReckoning.objects.filter(pk=row.pk).update(
        owed_at=now, worked_at=now, times_begun=1, stop_asked_at=None, refusal=""
    )
    row.refresh_from_db()
    fault_work.run(row, tell)
    row.refresh_from_db()
    return row


def owe_stale(now: datetime) -> None:
    """Owe what should be reckoned anew, what should stand and does not; forget the rest."""
    for plant in reckoned_faults.without_usual():
        _standing(plant, now)
    reckoned_faults.forgotten(now).delete()
    reckoned_faults.stale(now).update(owed_at=now, times_begun=0, progress=0.0)


@transaction.atomic
def _standing(plant: Plant, now: datetime) -> FaultReckoning:
    """The reckoning that always stands, made when there is none."""
    # Of two who find none the second takes the first one's.
    Plant.objects.select_for_update(no_key=True).get(pk=plant.pk)
    standing = FaultReckoning.objects.filter(plant=plant, is_usual=True).first()
    if standing is not None:
        return standing
    row, _is_new = _row(plant, reckoned_faults.usual_choice(plant, now), now)
    row.is_usual = True
    row.save(update_fields=["is_usual"])
    return row


def _row(plant: Plant, choice: FaultChoice, now: datetime) -> tuple[FaultReckoning, bool]:
    first, last = choice.days(plant.day_of(now))
    days: dict[str, Any] = {"first_on": first, "last_on": last}
    key = {
        "plant": plant,
        "family": choice.family,
        "basis": choice.basis.value,
        "span": choice.span,
    }
    if not choice.span:
        key, days = key | days, {}
    row, is_new = FaultReckoning.objects.get_or_create(
        **key, defaults={**days, "owed_at": now, "looked_at": now}
    )
    # At hand already: whoever shows it asks for its zone.
    row.plant = plant
    return row, is_new


def _owe_on_a_new_day(
    row: FaultReckoning, choice: FaultChoice, before: datetime, now: datetime
) -> None:
    zone = row.plant.zone_info
    today = now.astimezone(zone).date()
    is_moved = bool(choice.span) and row.last_on != today
    if row.refusal:
        is_moved = before.astimezone(zone).date() != today
    if is_moved and row.owed_at is None:
        ask_again(reckoning_id=row.pk, now=now)
        row.refresh_from_db(fields=["owed_at", "refusal"])


def _forget_beyond(plant: Plant) -> None:
    rows = FaultReckoning.objects.filter(plant=plant, is_usual=False)
    beyond = rows.order_by("-looked_at", "-pk").values_list("pk", flat=True)[MOST_A_PLANT:]
    rows.filter(pk__in=list(beyond), worked_at__isnull=True).delete()


def _wake() -> None:
    from diagnostics import tasks

    # Without a broker the worker looks every few seconds; here it would be done while one waits.
    if settings.BROKER_URL:
        transaction.on_commit(tasks.reckon_owed_faults.delay)
