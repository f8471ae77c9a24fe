"""Working out one proposal to its end: proposed, stopped, or failed with the reason."""

import logging
import time
from datetime import datetime
from typing import Any

from django.utils import timezone

from workorders.models import PlanRun
from workorders.plan_result import as_json
from workorders.planning.outages.minutes import minute_of
from workorders.planning.outages.plan import Span
from workorders.planning.outages.proposal import Progress, propose
from workorders.selectors.outage_plan import plan_from
from workorders.selectors.outage_rows import rows_of
from workorders.selectors.part_supply import supply_of_orders

logger = logging.getLogger(__name__)

State = PlanRun.State
_EVERY_S = 1.0
# Starts that people can say: on the quarter hour.
_STEP = 15


class _Ended(Exception):
    """Somebody else has ended it meanwhile."""


def work_out(run: PlanRun) -> None:
    """Propose a plan for the stretch of one run, whatever stands in it; it is owed no longer then.

    Orders are read once, with their versions: what changes after that is told when it is taken.
    """
    try:
        _work_out(run, timezone.now())
    except _Ended:
        return
    except Exception:
        # Owed for ever it would be worked at for ever; it can be asked for again.
        logger.exception("Working out plan %s failed.", run.pk)
        fail(run, "failed")


def fail(run: PlanRun, code: str) -> None:
    _end(run, state=State.FAILED, refusal=code)


def _work_out(run: PlanRun, now: datetime) -> None:
    from_at = max(run.from_at, now)
    if run.until_at <= from_at:
        fail(run, "is_over")
        return
    plant = run.plant
    rows = rows_of(plant, from_at, run.until_at)
    today = plant.day_of(now)
    plan = plan_from(rows, supply_of_orders(plant, rows.orders, today=today))
    begins = -(-minute_of(from_at) // _STEP) * _STEP
    proposal = propose(
        plan,
        Span(begins, max(begins + 1, minute_of(run.until_at))),
        from_scratch=run.from_scratch,
        tick=Telling(run.pk),
    )
    versions = {one.number: one.version for one in rows.orders}
    _end(run, state=State.PROPOSED, result=as_json(proposal, plan, versions))


class Telling:
    """Says every second how far the work is, and hears whether it is still wanted."""

    def __init__(self, run_id: int) -> None:
        self._rows = PlanRun.objects.owed().filter(pk=run_id)
        self._told_at = time.monotonic()
        self._progress: dict[str, Any] = {"now": "", "aims": {}}

    def __call__(self, progress: Progress) -> bool:
        now = time.monotonic()
        aims = self._progress["aims"]
        before = aims.get(progress.aim.value, {}).get("bound")
        bound = progress.bound if progress.bound is not None else before
        aims[progress.aim.value] = {"best": progress.best, "bound": bound}
        self._progress["now"] = progress.aim.value
        if now - self._told_at < _EVERY_S:
            return True
        self._told_at = now
        if not self._rows.update(worked_at=timezone.now(), progress=self._progress):
            raise _Ended
        return not self._rows.filter(stop_asked_at__isnull=False).exists()


def _end(run: PlanRun, **what: Any) -> None:
    """Write down how it ended, unless it has ended meanwhile."""
    rows = PlanRun.objects.owed().filter(pk=run.pk)
    rows.update(ended_at=timezone.now(), worked_at=None, stop_asked_at=None, **what)
