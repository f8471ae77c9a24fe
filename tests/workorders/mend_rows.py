"""Proved mends written straight into the tables: what matters is when they were proved."""

from datetime import datetime, timedelta
from itertools import count
from typing import Any

from diagnostics.models import Case
from plant.models import Conveyor
from workorders.models import ProofRun, WorkOrder
from workorders.order_states import OrderState

_numbers = count(1)


def make_case(conveyor: Conveyor, opened_at: datetime, **fields: Any) -> Case:
    defaults = {
        "number": f"{conveyor.plant.code}-C-{next(_numbers):05d}",
        "summary": "rubs",
        "state": "closed",
        "cause": "return_idler_skewed",
        "cause_class": "return_idler",
    }
    return Case.objects.create(conveyor=conveyor, opened_at=opened_at, **{**defaults, **fields})


def make_mend(
    conveyor: Conveyor,
    proved_at: datetime,
    *,
    method: str = "square-return-idlers",
    family: str = "return_idler",
    back_after_days: float | None = None,
    **order_fields: Any,
) -> WorkOrder:
    """A case mended and proved, and the case as which it came back."""
    case = make_case(
        conveyor, proved_at - timedelta(days=3), cause_class=family, proved_at=proved_at
    )
    order = make_order(case, state=OrderState.PROVED, method=method, **order_fields)
    watch(order, proved_at, passed=True)
    if back_after_days is not None:
        back_at = proved_at + timedelta(days=back_after_days)
        make_case(conveyor, back_at, cause_class=family, repeat_of=case)
    return order


def make_failed(conveyor: Conveyor, at: datetime, *, method: str) -> WorkOrder:
    """Done, and the belt did not run true when it was watched."""
    case = make_case(conveyor, at - timedelta(days=3), state="being looked at")
    order = make_order(case, state=OrderState.DONE, method=method)
    watch(order, at, passed=False)
    return order


def make_order(case: Case, *, state: OrderState, method: str, **fields: Any) -> WorkOrder:
    return WorkOrder.objects.create(
        conveyor=case.conveyor,
        case=case,
        number=f"{case.conveyor.plant.code}-W-{next(_numbers):05d}",
        title="Square the return idlers",
        state=state.value,
        work_method=method,
        cause=case.cause,
        raised_at=case.opened_at,
        **fields,
    )


def watch(order: WorkOrder, at: datetime, *, passed: bool) -> None:
    turns = {"revolutions_empty": 3, "revolutions_loaded": 3, "note": "seen"}
    ProofRun.objects.create(order=order, passed=passed, at=at, **turns)
