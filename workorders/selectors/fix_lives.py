"""How long mends hold: from the passed proof run until the fault came back, or until now.

The rule for "came back" is the case's own (same conveyor and cause family within the plant's
window, `diagnostics/recurrence/repeats.py`); what has not come back is watched still. After that
window a new case counts as a new fault, so that a mend is watched no longer than it.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import OuterRef, QuerySet, Subquery

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from plant.selectors import meters
from workorders.models import ProofRun, WorkOrder
from workorders.order_states import OrderState

_NO_RETURN = (CaseState.NOT_MISTRACKING.value, CaseState.CANCELLED.value)


@dataclass(frozen=True)
class FixLife:
    """`back_at` and `back_number` are those of the case that came back; None: it holds so far.

    `days` are calendar days up to then or to now [d]; `running_h` is known where meters cover the
    time. [h] `window_days`: so long after the proof a new case counts as come back. [d]
    """

    order_number: str
    case_number: str
    conveyor_id: int
    work_method: str
    cause_class: str
    proved_at: datetime
    back_at: datetime | None
    back_number: str
    days: float
    window_days: int
    running_h: float | None = None

    @property
    def came_back(self) -> bool:
        return self.back_at is not None

    @property
    def watched_until(self) -> datetime:
        """When it came back; else where the window ends, which may lie ahead."""
        return self.back_at or self.proved_at + timedelta(days=self.window_days)


def fix_lives(orders: QuerySet[WorkOrder], now: datetime) -> list[FixLife]:
    """One row for each proved order of a case, the longest ago first; one query."""
    return [life_in(row, now) for row in proved_orders(orders)]


def proved_orders(orders: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    """Orders whose mend passed its proof, with `proved_at`, `back_at` and `back_number`."""
    proof = ProofRun.objects.filter(order=OuterRef("pk"), passed=True)
    # Of several orders of a case the fault may have come back before the last was proved.
    back = (
        Case.objects.filter(repeat_of=OuterRef("case_id"), opened_at__gte=OuterRef("proved_at"))
        .exclude(state__in=_NO_RETURN)
        .order_by("opened_at", "pk")
    )
    return (
        orders.filter(state=OrderState.PROVED.value, case__isnull=False)
        .annotate(proved_at=Subquery(proof.values("at")[:1]))
        .annotate(
            back_at=Subquery(back.values("opened_at")[:1]),
            back_number=Subquery(back.values("number")[:1]),
        )
        .filter(proved_at__isnull=False)
        .select_related("case", "conveyor__plant")
        .order_by("proved_at", "pk")
    )


def life_of(order: WorkOrder, now: datetime) -> FixLife | None:
    """Of one order, with its running hours; None while it is not proved or without a case."""
    lives = fix_lives(WorkOrder.objects.filter(pk=order.pk), now)
    if not lives:
        return None
    [life] = lives
    exposure = meters.exposure_h(order.conveyor, life.proved_at, life.back_at or now)
    known = exposure.hours if exposure.is_running else None
    return FixLife(**{**vars(life), "running_h": known})


def life_in(row: WorkOrder, now: datetime) -> FixLife:
    """The life in a row of `proved_orders`."""
    proved_at, back_at = row.proved_at, row.back_at  # type: ignore[attr-defined]
    assert row.case is not None
    return FixLife(
        order_number=row.number,
        case_number=row.case.number,
        conveyor_id=row.conveyor_id,
        work_method=row.work_method,
        cause_class=row.case.cause_class,
        proved_at=proved_at,
        back_at=back_at,
        back_number=row.back_number or "",  # type: ignore[attr-defined]
        days=((back_at or now) - proved_at).total_seconds() / 86_400,
        window_days=row.conveyor.plant.recurrence_window_days,
    )
