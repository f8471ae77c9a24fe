"""When a plant's report is made by itself: set by a person, owed each month exactly once."""

import logging
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from plant import access
from plant.errors import DomainError
from plant.models import Plant, User
from workorders.models import MonthlyReport, MonthlyReportSetting
from workorders.models.monthly_report import LAST_DAY_OF_MONTH
from workorders.month import Month
from workorders.services.month_reports.asking import lock_plant, wake

logger = logging.getLogger(__name__)

# After a long time without a worker nobody wants older ones by themselves.
MOST_CAUGHT_UP = 12


class ReportSettingChanged(DomainError):
    code = "report_setting_changed"


class DayNotInEveryMonth(DomainError):
    code = "day_not_in_every_month"


class RecipientIsNobodyHere(DomainError):
    code = "recipient_is_nobody_here"


@dataclass(frozen=True)
class Wanted:
    is_on: bool
    day: int
    recipients: Collection[User] = ()


@transaction.atomic
def set_schedule(
    *, plant: Plant, wanted: Wanted, seen: int, by: User | None, now: datetime
) -> MonthlyReportSetting:
    """Keep when the report is made and to whom it goes; `seen` is the version looked at.

    Switched on, it begins with the last month where its day is still to come this month, else with
    this one. Refuses with ReportSettingChanged, DayNotInEveryMonth and RecipientIsNobodyHere.
    """
    lock_plant(plant.pk)
    before = MonthlyReportSetting.objects.filter(plant=plant).first()
    _check(plant, wanted, before, seen)
    kept = before or MonthlyReportSetting(plant=plant, version=0)
    if wanted.is_on and not kept.is_on:
        kept.begins_on = _first_month(plant.day_of(now), wanted.day).first
    elif before is None:
        kept.begins_on = plant.day_of(now).replace(day=1)
    kept.is_on, kept.day = wanted.is_on, wanted.day
    kept.version += 1
    kept.set_at, kept.set_by = now, by
    kept.save()
    kept.recipients.set(wanted.recipients)
    return kept


def _check(plant: Plant, wanted: Wanted, before: MonthlyReportSetting | None, seen: int) -> None:
    if (before.version if before else 0) != seen:
        raise ReportSettingChanged(_("Somebody set this meanwhile. Look at it, then decide."))
    if not 1 <= wanted.day <= LAST_DAY_OF_MONTH:
        raise DayNotInEveryMonth(
            _("Give a day from 1 to %(last)d, which every month has.") % {"last": LAST_DAY_OF_MONTH}
        )
    here = set(plant.people.values_list("pk", flat=True))
    strangers = [str(one) for one in wanted.recipients if one.pk not in here]
    if strangers:
        raise RecipientIsNobodyHere(
            _("The report goes to people of the plant only, not to %(names)s.")
            % {"names": ", ".join(strangers)}
        )


def _first_month(today: date, day: int) -> Month:
    this = Month.of(today)
    return this.ahead(-1) if today.day <= day else this


def owe_due() -> int:
    """Owe the reports whose day has come, missed months too; returns how many."""
    now = timezone.now()
    settings = MonthlyReportSetting.objects.filter(is_on=True).select_related("plant")
    return sum(_owe(one.pk, now) for one in settings if _due(one, now))


def _due(setting: MonthlyReportSetting, now: datetime) -> list[Month]:
    """The months whose report is due and was never owed, the oldest first."""
    today = setting.plant.day_of(now)
    last = Month.of(today).ahead(-1 if today.day >= setting.day else -2)
    month = Month.of(setting.begins_on)
    if setting.owed_through is not None:
        month = max(month, Month.of(setting.owed_through).ahead(1))
    found = []
    while month <= last:
        found.append(month)
        month = month.ahead(1)
    return found[-MOST_CAUGHT_UP:]


@transaction.atomic
def _owe(setting_id: int, now: datetime) -> int:
    rows = MonthlyReportSetting.objects.select_related("plant").filter(is_on=True)
    setting = rows.filter(pk=setting_id).first()
    if setting is None:
        return 0
    # Of two workers the second finds nothing due any more.
    lock_plant(setting.plant_id)
    setting.refresh_from_db()
    due = _due(setting, now) if setting.is_on else []
    for month in due:
        _owe_month(setting.plant, month, now)
    if due:
        setting.owed_through = due[-1].first
        setting.save(update_fields=["owed_through"])
        wake()
    return len(due)


def _owe_month(plant: Plant, month: Month, now: datetime) -> None:
    """The one that somebody has just asked for counts for it."""
    reports = MonthlyReport.objects.filter(plant=plant, month_on=month.first)
    if reports.filter(is_scheduled=True).exists():
        return
    if reports.owed().update(is_scheduled=True):
        return
    reports.create(plant=plant, month_on=month.first, is_scheduled=True, asked_at=now)
    logger.info("Report of %s for %s is due by the plant's setting.", month.code, plant.code)


def recipients_of(plant: Plant) -> list[User]:
    """Who gets it now: of those set, who is still of the plant, has a role and an address."""
    setting = MonthlyReportSetting.objects.filter(plant=plant).first()
    if setting is None:
        return []
    people = setting.recipients.filter(plants=plant, is_active=True).prefetch_related("groups")
    return [one for one in people.order_by("pk") if one.email and access.roles_of(one)]
