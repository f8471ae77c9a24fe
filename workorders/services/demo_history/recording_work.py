"""What people of an invented plant booked on its orders, and orders that hang together."""

import uuid
from datetime import datetime, time, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from plant.models import Plant, User
from plant.roles import Role
from plant.services.attaching import SentFile
from workorders.models import OrderPhoto, TimeBooking, WorkOrder
from workorders.order_states import OrderState
from workorders.services import (
    booking_time,
    linking,
    merging,
    moving,
    order_photos,
    raising_by_hand,
    splitting,
)
from workorders.services.demo_history import picturing
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read
from workorders.services.raising_by_hand import WorkWanted
from workorders.services.splitting import Rest

_NAMESPACE = uuid.UUID("0d2f6c0a-6f7b-4f0e-8f51-3a9f6f0c8a21")
_ORDERS = 24
# What was booked of what was planned, in turn: some work takes less, some more.
_SHARES = (Decimal("0.9"), Decimal(1), Decimal("1.25"), Decimal("0.8"), Decimal("1.1"))
_QUARTER = Decimal("0.25")


def record_work(plant: Plant, cast: Cast, now: datetime) -> None:
    """Hours on the newest orders, photos on one; then work that waits, was split, was merged."""
    for number, order in enumerate(_worked_on(plant)[:_ORDERS]):
        _book(order, number, cast.by_role[Role.TECHNICIAN], now)
    _photograph(plant, cast, now)
    _let_work_hang_together(plant, cast.by_role[Role.PLANNER][0], now)


def _worked_on(plant: Plant) -> list[WorkOrder]:
    """The newest first."""
    states = sorted(booking_time.BOOKABLE_STATES)
    rows = WorkOrder.objects.filter(conveyor__plant=plant, state__in=states)
    return list(rows.select_related("conveyor__plant").order_by("-raised_at", "-pk"))


def _book(order: WorkOrder, number: int, hands: tuple[User, ...], now: datetime) -> None:
    begun = order.moves.filter(to_state=OrderState.IN_HAND.value).order_by("-at").first()
    if begun is None or order.hours is None:
        return
    share = _SHARES[number % len(_SHARES)]
    remarks = read("belonging.yaml")["remarks"]
    quarters = max((order.hours * share / _QUARTER).quantize(Decimal(1), ROUND_HALF_UP), Decimal(1))
    for at in range(min(order.people or 1, len(hands))):
        who = hands[(number + at) % len(hands)]
        TimeBooking.objects.create(
            order=order,
            worker=who,
            worker_name=str(who),
            day=order.conveyor.plant.day_of(begun.at),
            hours=min(quarters * _QUARTER, Decimal(12)),
            note=remarks[(number + at) % len(remarks)],
            client_id=uuid.uuid5(_NAMESPACE, f"{order.number} {at}"),
            booked_at=min(begun.at + timedelta(hours=9), now),
            booked_by=who,
        )


def _photograph(plant: Plant, cast: Cast, now: datetime) -> None:
    said = read("belonging.yaml")["photos"]
    orders = [one for one in _worked_on(plant) if one.conveyor.tag == said["tag"]]
    if not orders:
        return
    for one in said["shown"]:
        _caption, content = picturing.drawn(said["picture"], one["off_mm"])[one["number"]]
        order_photos.keep_photos(
            order_id=orders[0].pk,
            sent=[SentFile(content, "drawn.jpg")],
            moment=OrderPhoto.Moment(one["moment"]),
            caption=one["caption"],
            by=cast.by_role[Role.TECHNICIAN][0],
            now=now - timedelta(hours=2),
        )


def _let_work_hang_together(plant: Plant, planner: User, now: datetime) -> None:
    said = read("belonging.yaml")
    # Numbers follow the calendar: what is raised after all stories was raised last night.
    today = plant.day_of(now)
    at = datetime.combine(today, time(), plant.zone_info)
    orders = {
        one["key"]: order
        for one in said["works"]
        if (order := _raise(plant, one, planner, at)) is not None
    }
    for waits, after in said["links"]:
        if {waits, after} <= set(orders):
            linking.link_orders(
                order_id=orders[waits].pk, after_id=orders[after].pk, by=planner, now=at
            )
    for one in said["split"]:
        if one["of"] in orders:
            rest = Rest(title=one["title"], places=frozenset(one["places"]))
            splitting.split_order(order_id=orders[one["of"]].pk, rest=rest, by=planner, now=at)
    for into, other in said["merged"]:
        if {into, other} <= set(orders):
            pair = WorkOrder.objects.in_bulk([orders[into].pk, orders[other].pk])
            merging.merge_orders(
                into_id=orders[into].pk,
                other_ids=[orders[other].pk],
                seen={key: order.version for key, order in pair.items()},
                by=planner,
                now=at,
            )


def _raise(plant: Plant, said: dict[str, Any], planner: User, at: datetime) -> WorkOrder | None:
    """Raised and approved; None at a plant without that belt."""
    conveyor = plant.conveyors.filter(tag=said["tag"]).select_related("plant").first()
    if conveyor is None:
        return None
    wanted = WorkWanted(
        title=said["title"], component=said.get("at", ""), steps=tuple(said["steps"])
    )
    order = raising_by_hand.raise_by_hand(conveyor=conveyor, wanted=wanted, by=planner, now=at)
    return moving.move_order(order_id=order.pk, to_state=OrderState.APPROVED, by=planner, now=at)
