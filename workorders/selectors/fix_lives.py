"""How long mends hold: from the passed proof run until the fault came back, or until now.

The rule for "came back" is the case's own (same conveyor and cause family within the plant's
window, `diagnostics/recurrence/repeats.py`); what has not come back is watched still.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import OuterRef, QuerySet, Subquery

from diagnostics.models import Case
from plant.selectors import meters
from workorders.models import ProofRun, WorkOrder
from workorders.order_states import OrderState


@dataclass(frozen=True)
class FixLife:
    """`back_at` and `back_number` are those of the case that came back; None: it holds so far.

    `days` are calendar days [d]; `running_h` is known where meters cover the time. [h]
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
    running_h: float | None = None

    @property
    def came_back(self) -> bool:
        return self.back_at is not None


def fix_lives(orders: QuerySet[WorkOrder], now: datetime) -> list[FixLife]:
    """One row for each proved order of a case, the longest ago first; one query.

    Ready for Kaplan-Meier: `days` with `came_back`, False being right-censored.
    """
    back = Case.objects.filter(repeat_of=OuterRef("case_id")).order_by("opened_at", "pk")
    proof = ProofRun.objects.filter(order=OuterRef("pk"), passed=True)
    rows = (
        orders.filter(state=OrderState.PROVED.value, case__isnull=False)
        .annotate(
            proved_at=Subquery(proof.values("at")[:1]),
            back_at=Subquery(back.values("opened_at")[:1]),
            back_number=Subquery(back.values("number")[:1]),
        )
        .filter(proved_at__isnull=False)
        .select_related("case")
        .order_by("proved_at", "pk")
    )
    return list(_lives(rows, now))


def life_of(order: WorkOrder, now: datetime) -> FixLife | None:
    """Of one order, with its running hours; None while it is not proved or without a case."""
    lives = fix_lives(WorkOrder.objects.filter(pk=order.pk), now)
    if not lives:
        return None
    [life] = lives
    exposure = meters.exposure_h(order.conveyor, life.proved_at, life.back_at or now)
    known = exposure.hours if exposure.is_running else None
    return FixLife(**{**vars(life), "running_h": known})


def _lives(rows: Iterable[WorkOrder], now: datetime) -> Iterable[FixLife]:
    for row in rows:
        proved_at, back_at = row.proved_at, row.back_at  # type: ignore[attr-defined]
        assert row.case is not None
        yield FixLife(
            order_number=row.number,
            case_number=row.case.number,
            conveyor_id=row.conveyor_id,
            work_method=row.work_method,
            cause_class=row.case.cause_class,
            proved_at=proved_at,
            back_at=back_at,
            back_number=row.back_number or "",  # type: ignore[attr-defined]
            days=((back_at or now) - proved_at).total_seconds() / 86_400,
        )
