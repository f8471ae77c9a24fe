"""Proposals for the outage sheet: asked for, worked out in the background, stopped or left.

A proposal is owed from the moment it is asked for; a worker takes it up, and another one does when
the first is heard of no more.
"""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import Plant, User
from plant.services.claiming import MOST_BEGINNINGS, claim, is_silent
from workorders.models import PlanRun
from workorders.services import plan_work

logger = logging.getLogger(__name__)

State = PlanRun.State
LONGEST = timedelta(days=92)
KEPT_A_PLANT = 20


class NothingLeftToPlan(DomainError):
    code = "nothing_left_to_plan"


class HorizonTooLong(DomainError):
    code = "horizon_too_long"


@dataclass(frozen=True)
class Wanted:
    """For which stretch of time; `from_scratch` lets everything move that is not pinned."""

    from_at: datetime
    until_at: datetime
    from_scratch: bool = False


@transaction.atomic
def ask(*, plant: Plant, wanted: Wanted, by: User | None, now: datetime) -> PlanRun:
    """Owe a proposal; one that waits for a decision is left for it.

    One is worked out at a time: while it is, asking again gives that one. Refuses with
    NothingLeftToPlan and HorizonTooLong.
    """
    from_at = max(wanted.from_at, now)
    if wanted.until_at <= from_at:
        raise NothingLeftToPlan(_("That stretch is over. Choose one that ends after today."))
    if wanted.until_at - from_at > LONGEST:
        days = {"days": LONGEST.days}
        raise HorizonTooLong(_("Plan at most %(days)s days at a time.") % days)
    # Of two people who press at once the second gets what the first asked for.
    Plant.objects.select_for_update(no_key=True).get(pk=plant.pk)
    owed = PlanRun.objects.owed().filter(plant=plant).first()
    if owed is not None:
        return owed
    PlanRun.objects.filter(plant=plant, state=State.PROPOSED).update(state=State.LEFT)
    made = PlanRun.objects.create(
        plant=plant,
        from_at=from_at,
        until_at=wanted.until_at,
        from_scratch=wanted.from_scratch,
        asked_at=now,
        asked_by=by,
    )
    logger.info("Plan %s for %s asked for by %s.", made.pk, plant.code, by)
    _forget_old(plant)
    _wake()
    return made


def ask_stop(*, run_id: int, now: datetime) -> None:
    """Work no longer at it: what was found until then is proposed, if there is anything."""
    owed = PlanRun.objects.owed().filter(pk=run_id)
    owed.update(stop_asked_at=now)
    # Nobody has begun, or nobody is left to hear it: it stops here.
    owed.filter(is_silent(now)).update(
        state=State.STOPPED, ended_at=now, stop_asked_at=None, worked_at=None
    )


def leave(*, run_id: int) -> None:
    """Put a proposal aside; it changed nothing."""
    PlanRun.objects.filter(pk=run_id, state=State.PROPOSED).update(state=State.LEFT)


def take_up_again(*, run_id: int) -> None:
    """Have a proposal before one again that was put aside, unless there is a newer one."""
    run = PlanRun.objects.get(pk=run_id)
    newer = PlanRun.objects.filter(plant=run.plant_id, pk__gt=run.pk)
    if run.state == State.LEFT and run.result and not newer.exists():
        PlanRun.objects.filter(pk=run.pk, state=State.LEFT).update(state=State.PROPOSED)


def do_owed() -> int:
    """Work out what is owed, one after the other; returns how many."""
    done = 0
    while (run := _claimed()) is not None:
        if run.begun > MOST_BEGINNINGS:
            plan_work.fail(run, "begun_too_often")
        else:
            plan_work.work_out(run)
        done += 1
    return done


def _wake() -> None:
    from plant import tasks

    # Without a broker the worker looks every few seconds; here it would be done while one waits.
    if settings.BROKER_URL:
        transaction.on_commit(tasks.do_what_is_owed.delay)


def _claimed() -> PlanRun | None:
    return claim(PlanRun.objects.owed(), "asked_at", beginnings="begun", progress={})


def _forget_old(plant: Plant) -> None:
    """Each may hold hundreds of places; the latest are enough to look back."""
    ended = PlanRun.objects.filter(plant=plant).exclude(state=State.OWED)
    kept = ended.values_list("pk", flat=True)[:KEPT_A_PLANT]
    ended.exclude(pk__in=list(kept)).delete()
