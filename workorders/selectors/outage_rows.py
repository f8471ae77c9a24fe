"""The rows of a stretch of the outage sheet: windows, crews, orders and what they wait for."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Prefetch, Q, QuerySet

from plant.models import Plant
from workorders.clash_words import Names
from workorders.models import Crew, CrewAbsence, OrderLink, OutageWindow, WorkOrder
from workorders.order_states import OPEN_STATES, OrderState

_UNBEGUN = (OrderState.APPROVED.value, OrderState.SCHEDULED.value)
_OPEN = sorted(state.value for state in OPEN_STATES)
# Windows and work may reach over the ends of the stretch; who is away then counts too.
_AROUND = timedelta(days=30)


@dataclass(frozen=True)
class SheetRows:
    """What a plan is made of, as rows.

    `windows` has those called off as well, `crews` those that are gone when an order stands with
    them. `orders` are all that wait for a place, and those placed in this stretch, work in hand
    too. `links` are between open orders, each with the one that must be done first.
    """

    plant: Plant
    from_at: datetime
    until_at: datetime
    windows: list[OutageWindow]
    crews: list[Crew]
    orders: list[WorkOrder]
    links: list[OrderLink]

    @property
    def names(self) -> Names:
        return Names(
            zone=self.plant.zone_info,
            windows={str(one.pk): one.name for one in self.windows},
            crews={str(one.pk): one.name for one in self.crews},
        )


def rows_of(
    plant: Plant, from_at: datetime, until_at: datetime, *, also: int | None = None
) -> SheetRows:
    """A bounded number of queries, however much is planned; `also` is an order placed elsewhere."""
    orders = list(_orders(plant, from_at, until_at, also))
    return SheetRows(
        plant=plant,
        from_at=from_at,
        until_at=until_at,
        windows=list(_windows(plant, from_at, until_at, {one.window_id for one in orders})),
        crews=list(_crews(plant, from_at, until_at, {one.crew_id for one in orders})),
        orders=orders,
        links=list(
            OrderLink.objects.filter(
                order__in=[one.pk for one in orders], after__state__in=_OPEN
            ).select_related("after")
        ),
    )


def _orders(
    plant: Plant, from_at: datetime, until_at: datetime, also: int | None
) -> QuerySet[WorkOrder]:
    waits = Q(state__in=_UNBEGUN, crew__isnull=True)
    here = Q(planned_for__lt=until_at, planned_until__gt=from_at)
    # A window that moved still has its orders where it was.
    in_window = Q(window__starts_at__lt=until_at, window__ends_at__gt=from_at)
    placed = Q(state__in=(*_UNBEGUN, OrderState.IN_HAND.value), crew__isnull=False)
    return (
        WorkOrder.objects.filter(
            waits | (placed & (here | in_window | Q(pk=also))), conveyor__plant=plant
        )
        .select_related("conveyor")
        .prefetch_related("steps")
        .order_by("planned_for", "pk")
    )


def _windows(
    plant: Plant, from_at: datetime, until_at: datetime, of_orders: set[int | None]
) -> QuerySet[OutageWindow]:
    here = Q(starts_at__lt=until_at, ends_at__gt=from_at)
    return OutageWindow.objects.filter(
        here | Q(pk__in=of_orders - {None}), plant=plant
    ).prefetch_related("conveyors")


def _crews(
    plant: Plant, from_at: datetime, until_at: datetime, of_orders: set[int | None]
) -> QuerySet[Crew]:
    away = CrewAbsence.objects.filter(
        taken_back_at__isnull=True,
        ends_at__gt=from_at - _AROUND,
        starts_at__lt=until_at + _AROUND,
    )
    return Crew.objects.filter(
        Q(retired_on__isnull=True) | Q(pk__in=of_orders - {None}), plant=plant
    ).prefetch_related("shifts", Prefetch("absences", away))
