"""Making the reports that are owed: taken up, made step by step, ended whatever happens."""

import logging
import uuid
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone, translation

from diagnostics.models import Case
from diagnostics.selectors import reckoned_faults
from diagnostics.services import fault_reckoning
from plant.services.claiming import MOST_BEGINNINGS, claim
from plant.services.stored_files import WrittenFiles, written_files
from workorders.models import MonthlyReport
from workorders.month_report_shown import paper
from workorders.selectors.month_report import gathering, worst
from workorders.selectors.month_report.span import Span
from workorders.services.month_reports import mailing

logger = logging.getLogger(__name__)

State = MonthlyReport.State
# How far it is when the belts are ranked, and when only the sheet is left to be set.
_RANKED, _GATHERED = 0.5, 0.9


class _Ended(Exception):
    """Somebody pressed stop, or another worker has ended it."""


def do_owed() -> int:
    """Make what is owed, one after the other; returns how many."""
    done = 0
    while (report := _claimed()) is not None:
        _make_or_end(report)
        done += 1
    return done


def make_this(report_id: int) -> bool:
    """Make one report here and now; False where a worker has it in hand, or it is owed no more."""
    report = _claimed(pk=report_id)
    if report is not None:
        _make_or_end(report)
    return report is not None


def _claimed(**which: Any) -> MonthlyReport | None:
    owed = MonthlyReport.objects.owed().filter(**which).select_related("plant")
    return claim(owed, "asked_at", progress=0.0)


def _make_or_end(report: MonthlyReport) -> None:
    if report.times_begun > MOST_BEGINNINGS:
        _end(report, state=State.FAILED, refusal="begun_too_often")
        return
    try:
        with (
            translation.override(settings.LANGUAGE_CODE),
            timezone.override(report.plant.zone_info),
        ):
            _make(report, timezone.now())
    except _Ended:
        _end(report, state=State.STOPPED)
    except Exception:
        # Owed for ever it would be made for ever; it can be asked for again.
        logger.exception("Making the monthly report %s failed.", report.pk)
        _end(report, state=State.FAILED, refusal="failed")


def _make(report: MonthlyReport, now: datetime) -> None:
    telling = Telling(report.pk)
    span = Span(report.plant, report.month, now)
    _rank_belts(span, telling)
    rest = _GATHERED - _RANKED
    figures = gathering.figures_of(span, tick=lambda share: telling(_RANKED + share * rest))
    pdf = paper.pdf_of(figures)
    telling(1.0)
    with written_files() as files:
        # Nothing of the plant in the path: names may change, and the store may be shared.
        name = files.write(f"reports/{now:%Y/%m}/{uuid.uuid4()}.pdf", pdf)
        _keep(report, figures.as_json(), name, files)


def _rank_belts(span: Span, telling: "Telling") -> None:
    """Reckon the plant's belts where that has not been done since something changed."""
    standing = worst.reckoning_of(span)
    if standing is not None and reckoned_faults.freshness_of(standing, span.now).is_fresh:
        return

    def tell(share: float) -> None:
        # Whoever reckons takes a raised stop for a failure of its own.
        telling.says(share * _RANKED)

    if Case.objects.filter(conveyor__plant=span.plant).exists():
        fault_reckoning.reckon_now(span.plant, tell=tell, choice=worst.choice_of(span))
    telling(_RANKED)


@transaction.atomic
def _keep(report: MonthlyReport, figures: dict[str, Any], name: str, files: WrittenFiles) -> None:
    ended = {"state": State.MADE, "progress": 1.0, "figures": figures, "file": name}
    if not _end(report, **ended):
        raise _Ended
    files.keep(name)
    mailing.owe(MonthlyReport.objects.get(pk=report.pk))


class Telling:
    """Says how far the work is, and hears whether it is still wanted."""

    def __init__(self, report_id: int) -> None:
        self._rows = MonthlyReport.objects.owed().filter(pk=report_id)

    def __call__(self, share: float) -> None:
        if not self.says(share):
            raise _Ended

    def says(self, share: float) -> bool:
        """False when it is wanted no more; one that was ended has no row here any more."""
        wanted = self._rows.filter(stop_asked_at__isnull=True)
        return bool(wanted.update(worked_at=timezone.now(), progress=share))


def _end(report: MonthlyReport, **what: Any) -> int:
    """Write down how it ended, unless it has ended meanwhile."""
    rows = MonthlyReport.objects.owed().filter(pk=report.pk)
    now = timezone.now()
    return int(rows.update(ended_at=now, worked_at=None, stop_asked_at=None, **what))
