"""A plant whose orders can be planned: a window tomorrow, a crew, orders; all from today on."""

from datetime import datetime, time, timedelta

from django.utils import timezone

from plant.models import Plant
from tests.workorders.factories import make_conveyor, make_plant
from tests.workorders.sheet_rows import make_approved, make_crew, make_window
from workorders.models import OutageWindow, PlanRun, WorkOrder
from workorders.services import plan_runs
from workorders.services.plan_runs import Wanted

FORTNIGHT = timedelta(days=14)


def tomorrow_at(plant: Plant, hour: int) -> datetime:
    """In the plant's own time, when its crew works."""
    day = timezone.now().astimezone(plant.zone_info).date() + timedelta(days=1)
    return datetime.combine(day, time(hour), plant.zone_info)


def make_plannable(orders: int = 2, plant: Plant | None = None) -> list[WorkOrder]:
    """So many approved orders of an hour on one belt, which has a window; one crew."""
    plant = plant or make_plant()
    belt = make_conveyor(plant)
    make_crew(plant)
    make_window(belt, starts_at=tomorrow_at(plant, 8))
    made = [make_approved(belt, title=f"Square idler set {n}") for n in range(orders)]
    WorkOrder.objects.filter(pk__in=[one.pk for one in made]).update(hours=1, people=1)
    for one in made:
        one.refresh_from_db()
    return made


def ask(plant: Plant, *, from_scratch: bool = False) -> PlanRun:
    now = timezone.now()
    wanted = Wanted(now, now + FORTNIGHT, from_scratch)
    return plan_runs.ask(plant=plant, wanted=wanted, by=None, now=now)


def worked_out(plant: Plant, *, from_scratch: bool = False) -> PlanRun:
    run = ask(plant, from_scratch=from_scratch)
    assert plan_runs.do_owed() == 1
    run.refresh_from_db()
    return run


def window_of(order: WorkOrder) -> OutageWindow:
    return OutageWindow.objects.get(conveyors=order.conveyor)
