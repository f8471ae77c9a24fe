"""Since when the oldest piece of work of each sweep of this room is owed."""

from datetime import datetime

from django.db.models import F

from plant.owed import Oldest
from plant.selectors.owed_since import oldest_of
from workorders.models import DueState, MonthlyReport, MonthlyReportMail, PlanRun, StatusFile


def _mails() -> datetime | None:
    """Since its report was made; one that was refused is owed no more."""
    waiting = MonthlyReportMail.objects.filter(sent_at__isnull=True, refusal="")
    return oldest_of(waiting, "report__ended_at")


def _reports() -> datetime | None:
    return oldest_of(MonthlyReport.objects.owed(), "asked_at")


def _due_lists() -> datetime | None:
    """Since the conveyor was last changed: of what else a list is owed by, no instant is kept."""
    changed = DueState.objects.exclude(seen_changed_at=F("conveyor__changed_at"))
    return oldest_of(changed.filter(conveyor__retired_on__isnull=True), "conveyor__changed_at")


def _plans() -> datetime | None:
    return oldest_of(PlanRun.objects.owed(), "asked_at")


def _status_files() -> datetime | None:
    return oldest_of(StatusFile.objects.filter(state=StatusFile.State.TAKING), "found_at")


BY_SWEEP: dict[str, Oldest] = {
    "mails of reports": _mails,
    "monthly reports": _reports,
    "due lists": _due_lists,
    "plans for outages": _plans,
    "status files": _status_files,
}
