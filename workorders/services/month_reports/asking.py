"""Asking for a month's report, stopping it, having it made again, taking it away."""

import logging
from datetime import datetime

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import Plant, User
from plant.services.claiming import is_silent
from workorders.models import MonthlyReport
from workorders.month import Month

logger = logging.getLogger(__name__)

State = MonthlyReport.State
# Of one month; what went out by itself is kept besides.
KEPT_A_MONTH = 6


class MonthNotBegun(DomainError):
    code = "month_not_begun"


class ReportIsBeingMade(DomainError):
    code = "report_is_being_made"


@transaction.atomic
def ask(*, plant: Plant, month: Month, by: User | None, now: datetime) -> MonthlyReport:
    """Owe the report of a month, as a new one beside those that were made of it.

    One is made at a time: while it is, asking again gives that one. Refuses with MonthNotBegun.
    """
    if month.first > plant.day_of(now):
        raise MonthNotBegun(_("%(month)s has not begun yet.") % {"month": month.code})
    lock_plant(plant.pk)
    owed = MonthlyReport.objects.owed().filter(plant=plant, month_on=month.first).first()
    if owed is not None:
        return owed
    _forget_old(plant, month)
    made = MonthlyReport.objects.create(
        plant=plant, month_on=month.first, asked_at=now, asked_by=by
    )
    logger.info(
        "Report of %s for %s asked for by %s.",
        month.code,
        plant.code,
        by or "the schedule or a command",
    )
    wake()
    return made


@transaction.atomic
def make_again(*, report_id: int, by: User | None, now: datetime) -> MonthlyReport:
    """The same month anew. One that came to nothing is taken up again, mails and all.

    Refuses with MonthNotBegun.
    """
    report = MonthlyReport.objects.select_related("plant").get(pk=report_id)
    lock_plant(report.plant_id)
    owed = MonthlyReport.objects.owed().filter(plant=report.plant, month_on=report.month_on)
    ended_without = MonthlyReport.objects.filter(
        pk=report.pk, state__in=[State.FAILED, State.STOPPED]
    )
    if not owed.exists() and ended_without.exists():
        ended_without.update(
            state=State.OWED, refusal="", ended_at=None, times_begun=0, progress=0.0
        )
        wake()
        report.refresh_from_db()
        return report
    return ask(plant=report.plant, month=report.month, by=by, now=now)


def ask_stop(*, report_id: int, now: datetime) -> None:
    """Make it no further; nothing of it is kept. One that has ended stays as it is."""
    owed = MonthlyReport.objects.owed().filter(pk=report_id)
    owed.update(stop_asked_at=now)
    # Nobody has begun, or nobody is left to hear it: it stops here.
    owed.filter(is_silent(now)).update(
        state=State.STOPPED, ended_at=now, stop_asked_at=None, worked_at=None
    )


@transaction.atomic
def delete(*, report_id: int) -> None:
    """Take a report away with its file; refuses with ReportIsBeingMade."""
    report = MonthlyReport.objects.select_for_update(no_key=True).filter(pk=report_id).first()
    if report is None:
        return
    if report.is_owed:
        raise ReportIsBeingMade(_("It is being made just now. Stop it first."))
    _take_away(report)


def lock_plant(plant_id: int) -> None:
    """Of two who ask at once the second gets what the first asked for."""
    Plant.objects.select_for_update(no_key=True).get(pk=plant_id)


def wake() -> None:
    from plant import tasks

    # Without a broker the worker looks every few seconds; here it would be done while one waits.
    if settings.BROKER_URL:
        transaction.on_commit(tasks.do_what_is_owed.delay)


def _forget_old(plant: Plant, month: Month) -> None:
    ended = MonthlyReport.objects.filter(plant=plant, month_on=month.first, is_scheduled=False)
    for report in ended.exclude(state=State.OWED)[KEPT_A_MONTH - 1 :]:
        _take_away(report)


def _take_away(report: MonthlyReport) -> None:
    name = report.file.name
    report.delete()
    if name:
        # The row is gone for good only then; a file without a row is only lost room.
        transaction.on_commit(lambda: default_storage.delete(name))
