"""Monthly reports as their pages list them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import QuerySet

from plant.models import Plant
from workorders.models import MonthlyReport, MonthlyReportMail, MonthlyReportSetting
from workorders.month_report import figures
from workorders.month_report.figures import Figures, UnreadableFigures

# It speaks every few seconds; before another worker begins again the page says so.
_SILENT_AFTER = timedelta(minutes=1)


@dataclass(frozen=True)
class ReportRow:
    """A report with what tells it from others of its month; None while it says nothing."""

    report: MonthlyReport
    told: Figures | None


def reports_of(plant: Plant) -> QuerySet[MonthlyReport]:
    """The newest month first, of each month the newest report first."""
    return MonthlyReport.objects.filter(plant=plant).select_related("asked_by")


def rows_of(reports: Iterable[MonthlyReport]) -> list[ReportRow]:
    return [ReportRow(one, told_by(one)) for one in reports]


def told_by(report: MonthlyReport) -> Figures | None:
    """None while it is not made, and for figures that were kept in an older shape."""
    try:
        return figures.read(report.figures)
    except UnreadableFigures:
        return None


def newer_than(report: MonthlyReport) -> MonthlyReport | None:
    """The newest report made of the same month after it."""
    made = MonthlyReport.objects.filter(
        plant=report.plant_id, month_on=report.month_on, state=MonthlyReport.State.MADE
    )
    later = made.filter(ended_at__gt=report.ended_at) if report.ended_at else made.none()
    return later.order_by("-ended_at").first()


def mails_of(report: MonthlyReport) -> list[MonthlyReportMail]:
    return list(report.mails.select_related("user"))


def setting_of(plant: Plant) -> MonthlyReportSetting | None:
    rows = MonthlyReportSetting.objects.prefetch_related("recipients").select_related("set_by")
    return rows.filter(plant=plant).first()


def is_silent(report: MonthlyReport, now: datetime) -> bool:
    """Whether its worker has not been heard of for a while."""
    return report.worked_at is not None and report.worked_at < now - _SILENT_AFTER
