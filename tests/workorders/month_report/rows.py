"""Cases, mends and reports of past months, as rows."""

from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from plant.models import Conveyor, Plant
from tests.workorders import factories
from workorders.models import MonthlyReport, ProofRun, WorkOrder
from workorders.month import Month
from workorders.month_report.figures import Figures
from workorders.order_states import OrderState
from workorders.selectors.month_report import gathering
from workorders.selectors.month_report.span import Span
from workorders.services.month_reports import asking, making

OCTOBER = Month(2026, 10)
# The middle of the month after.
NOW = datetime(2026, 11, 15, 12, tzinfo=UTC)
_numbers = count(1)
_TURNS = {"revolutions_empty": 3, "revolutions_loaded": 3}


def at(text: str) -> datetime:
    """`2026-10-03` is noon of that day."""
    moment = datetime.fromisoformat(text).replace(tzinfo=UTC)
    return moment + timedelta(hours=12) if len(text) == 10 else moment


def make_case(belt: Conveyor, opened: str, **fields: Any) -> Case:
    """Closed ones say when by `closed`."""
    closed = fields.pop("closed", "")
    if closed:
        ended = {"ended_at": at(closed), "proved_at": at(closed)}
        fields = {"state": CaseState.CLOSED.value, **ended, **fields}
    return Case.objects.create(
        conveyor=belt,
        number=f"{belt.plant.code}-R-{next(_numbers):04d}",
        summary="rubs on the frame",
        opened_at=at(opened),
        **fields,
    )


def make_cases(belt: Conveyor, *opened: str) -> None:
    for one in opened:
        make_case(belt, one)


def make_mend(
    belt: Conveyor, proved: str, *, back: str = "", title: str = "Square it"
) -> WorkOrder:
    """A proved order; `back` is when its fault came back."""
    case = make_case(belt, proved, closed=proved, cause_class="loading")
    order = factories.make_order_by_hand(belt, now=at(proved))
    WorkOrder.objects.filter(pk=order.pk).update(
        state=OrderState.PROVED.value, case=case, title=title
    )
    ProofRun.objects.create(order=order, at=at(proved), passed=True, note="runs true", **_TURNS)
    if back:
        make_case(belt, back, repeat_of=case, cause_class="loading")
    order.refresh_from_db()
    return order


def figures_of(plant: Plant, month: Month = OCTOBER, now: datetime = NOW) -> Figures:
    return gathering.figures_of(Span(plant, month, now))


def ask(plant: Plant, month: Month = OCTOBER) -> MonthlyReport:
    return asking.ask(plant=plant, month=month, by=None, now=timezone.now())


def made(plant: Plant, month: Month = OCTOBER) -> MonthlyReport:
    report = ask(plant, month)
    assert making.make_this(report.pk)
    report.refresh_from_db()
    return report


def kept(plant: Plant, month: Month = OCTOBER) -> MonthlyReport:
    """A report with figures and a file, without its sheet being set."""
    return MonthlyReport.objects.create(
        plant=plant,
        month_on=month.first,
        state=MonthlyReport.State.MADE,
        asked_at=NOW,
        ended_at=NOW,
        figures=figures_of(plant, month).as_json(),
        file=default_storage.save("reports/kept.pdf", ContentFile(b"%PDF-1.7 set")),
    )
