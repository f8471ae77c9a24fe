"""Rows of the outage sheet: crews, windows, orders that wait for a place."""

from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

from plant.models import Conveyor, Plant
from tests.workorders.factories import NOW, make_conveyor
from workorders.models import Crew, CrewShift, OutageWindow, WorkOrder
from workorders.order_states import OrderState
from workorders.services import moving, placing, raising_by_hand
from workorders.services.raising_by_hand import WorkWanted

TOMORROW = NOW + timedelta(days=1)


def make_crew(plant: Plant, name: str = "Day crew", **fields: Any) -> Crew:
    """Six to six on every day of the week."""
    defaults = {"people": 3, "skills": ["mechanic", "operator"]}
    crew = Crew.objects.create(plant=plant, name=name, **{**defaults, **fields})
    CrewShift.objects.bulk_create(
        CrewShift(crew=crew, weekday=day, begins_at="06:00", ends_at="18:00") for day in range(7)
    )
    return crew


def make_window(
    *conveyors: Conveyor, starts_at: datetime = TOMORROW, hours: float = 8, **fields: Any
) -> OutageWindow:
    defaults = {"name": "Quay maintenance day", "first_starts_at": starts_at}
    window = OutageWindow.objects.create(
        plant=conveyors[0].plant,
        starts_at=starts_at,
        ends_at=starts_at + timedelta(hours=hours),
        **{**defaults, **fields},
    )
    window.conveyors.set(conveyors)
    return window


def make_approved(conveyor: Conveyor | None = None, title: str = "Square idlers") -> WorkOrder:
    order = raising_by_hand.raise_by_hand(
        conveyor=conveyor or make_conveyor(), wanted=WorkWanted(title=title), by=None, now=NOW
    )
    return moving.move_order(order_id=order.pk, to_state=OrderState.APPROVED, by=None, now=NOW)


def place_in(window: OutageWindow, crew: Crew, hours: float = 2) -> placing.Place:
    return placing.Place(crew, window, window.starts_at, window.starts_at + timedelta(hours=hours))


def make_placed(conveyor: Conveyor, crew: Crew | None = None) -> WorkOrder:
    """Scheduled in a window of its own."""
    place = place_in(make_window(conveyor), crew or make_crew(conveyor.plant))
    return placing.place_order(order_id=make_approved(conveyor).pk, place=place, by=None, now=NOW)


def make_coming(conveyor: Conveyor, days: int = 1, **fields: Any) -> OutageWindow:
    """07:00 to 15:00 of the plant's day after today: pages read the clock of the machine."""
    zone = conveyor.plant.zone_info
    day = (timezone.now() + timedelta(days=days)).astimezone(zone).date()
    starts_at = datetime(day.year, day.month, day.day, 7, tzinfo=zone)
    return make_window(conveyor, starts_at=starts_at, **fields)
