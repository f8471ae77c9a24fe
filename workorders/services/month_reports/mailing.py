"""Mailing the reports that were made by themselves, each to each person once.

That a mail went out is written down before it does: a worker that dies in between costs one mail
and repeats none, and the report stands on its page all the while.
"""

import logging
from datetime import datetime, timedelta

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from plant import access
from workorders.models import MonthlyReport, MonthlyReportMail
from workorders.month_report import figures
from workorders.month_report_shown import words
from workorders.services.month_reports import scheduling

logger = logging.getLogger(__name__)

_FIRST_PAUSE = timedelta(minutes=5)
_MOST_TRIES = 6


def owe(report: MonthlyReport) -> None:
    """Owe the mails of a report, in the transaction in which it is made."""
    # Nobody of an invented plant has a mailbox.
    if not report.is_scheduled or report.plant.is_demo:
        return
    MonthlyReportMail.objects.bulk_create(
        [
            MonthlyReportMail(report=report, user=person)
            for person in scheduling.recipients_of(report.plant)
        ],
        # One that failed is made anew: who has it already gets it no second time.
        ignore_conflicts=True,
    )


def send_owed() -> int:
    """Send what is owed; returns how many mails went out."""
    now = timezone.now()
    waiting = list(_owed(now).order_by("pk").values_list("pk", flat=True))
    return sum(_send_one(pk, now) for pk in waiting)


def _owed(now: datetime) -> QuerySet[MonthlyReportMail]:
    return MonthlyReportMail.objects.filter(
        Q(try_at__isnull=True) | Q(try_at__lte=now), sent_at__isnull=True, refusal=""
    )


def _send_one(pk: int, now: datetime) -> int:
    mail = _claim(pk, now)
    if mail is None:
        return 0
    try:
        _mail(mail)
    except Exception:
        # The server, a file that is gone, figures in an older shape: told to nobody, tried again
        # after a longer pause. One mail that cannot be written keeps no other back.
        logger.exception("Report mail %s could not be sent.", mail.pk)
        _give_back(mail, now)
        return 0
    return 1


@transaction.atomic
def _claim(pk: int, now: datetime) -> MonthlyReportMail | None:
    # Of two workers the second goes on to the next one. Locks do not survive a union of queries.
    mine = _owed(now).filter(pk=pk)
    rows = mine.select_for_update(of=("self",), skip_locked=True, no_key=True)
    found = rows.select_related("report__plant", "user").first()
    if found is None:
        return None
    person, plant = found.user, found.report.plant
    # Who has left since must not be sent what only the plant's people may read.
    belongs = access.plants_of(person).filter(pk=plant.pk).exists() and access.roles_of(person)
    if not (person.email and belongs):
        MonthlyReportMail.objects.filter(pk=pk).update(refusal="left_the_plant")
        return None
    MonthlyReportMail.objects.filter(pk=pk).update(sent_at=now, try_at=None)
    return found


def _give_back(mail: MonthlyReportMail, now: datetime) -> None:
    rows = MonthlyReportMail.objects.filter(pk=mail.pk)
    if mail.tries >= _MOST_TRIES:
        rows.update(sent_at=None, refusal="not_sent")
        return
    rows.update(sent_at=None, tries=F("tries") + 1, try_at=now + _FIRST_PAUSE * 2**mail.tries)


def _mail(mail: MonthlyReportMail) -> None:
    report = mail.report
    told = figures.read(report.figures)
    with (
        translation.override(settings.LANGUAGE_CODE),
        timezone.override(report.plant.zone_info),
        report.file.open("rb") as file,
    ):
        month = words.month_words(report.month)
        site = settings.SITE_ADDRESS
        context = {
            "plant": report.plant,
            "month": month,
            "sentences": words.headline(told),
            "address": f"{site}{reverse('monthly-report', args=[report.pk])}" if site else "",
            "settings": f"{site}{reverse('monthly-report-setting', args=[report.plant.code])}"
            if site
            else "",
        }
        text = render_to_string("workorders/month_report/mail.txt", context)
        subject = _("%(plant)s: belts in %(month)s") % {"plant": report.plant.name, "month": month}
        message = EmailMessage(subject, text, None, [mail.user.email])
        message.attach(words.file_name(report), file.read(), "application/pdf")
        message.send()
