"""Time booked on an order, as its pages show it."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet, Sum

from plant.models import User
from plant.roles import ROLE_PERMISSIONS, Permission
from workorders.models import TimeBooking, WorkOrder

_HANDS = [
    role.value
    for role, permissions in ROLE_PERMISSIONS.items()
    if permissions & {Permission.DO_ORDER, Permission.PLAN_ORDER}
]


@dataclass(frozen=True)
class Booked:
    """Person-hours; `planned` is None while nobody says how long the work takes."""

    hours: Decimal
    people: int
    planned: Decimal | None

    @property
    def more(self) -> Decimal:
        """Than planned; 0 while within it."""
        return Decimal(0) if self.planned is None else max(self.hours - self.planned, Decimal(0))


def bookings_of(order: WorkOrder) -> QuerySet[TimeBooking]:
    """The latest day first, with what is told beside each; taken back ones too."""
    rows = TimeBooking.objects.filter(order=order)
    return rows.select_related("worker", "crew", "booked_by").order_by("-day", "-booked_at", "-pk")


def booked_of(order: WorkOrder) -> Booked:
    """One query."""
    rows = TimeBooking.objects.standing().filter(order=order)
    by_name = list(
        rows.order_by("worker_name").values_list("worker_name").annotate(hours=Sum("hours"))
    )
    hours = sum((hours for _name, hours in by_name), Decimal(0))
    return Booked(hours, len({name.casefold() for name, _hours in by_name}), planned_hours(order))


def planned_hours(order: WorkOrder) -> Decimal | None:
    """The order's hours run by the clock: each counts for all who work at a time. [h]"""
    return None if order.hours is None else order.hours * (order.people or 1)


def hands_of(order: WorkOrder, *, also: User | None = None) -> QuerySet[User]:
    """People of the order's plant who do or plan work, by name; `also` whoever stands there."""
    works = Q(is_active=True, plants=order.conveyor.plant_id, groups__name__in=_HANDS)
    rows = User.objects.filter(works | Q(pk=also.pk) if also else works)
    return rows.distinct().order_by("display_name", "username")
