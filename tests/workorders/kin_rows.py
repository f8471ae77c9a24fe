"""Orders that are split, merged and come back, by the services."""

from datetime import timedelta
from typing import Any

from plant.models import Conveyor
from tests.workorders.factories import NOW
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.services import merging, moving, raising_by_hand, splitting
from workorders.services.raising_by_hand import WorkWanted
from workorders.services.splitting import Rest

LATER = NOW + timedelta(days=1)


def make_work(conveyor: Conveyor, *steps: str, title: str = "Renew the skirts") -> WorkOrder:
    wanted = WorkWanted(title=title, steps=steps)
    return raising_by_hand.raise_by_hand(conveyor=conveyor, wanted=wanted, by=None, now=NOW)


def split(order: WorkOrder, *places: int, version: int | None = None, **rest: Any) -> WorkOrder:
    wanted = Rest(**{"title": "The rest of it", "places": frozenset(places), **rest})
    new = splitting.split_order(order_id=order.pk, rest=wanted, by=None, now=LATER, version=version)
    order.refresh_from_db()
    return new


def merge(into: WorkOrder, *others: WorkOrder, seen: dict[int, int] | None = None) -> WorkOrder:
    every = (into, *others)
    if seen is None:
        for one in every:
            one.refresh_from_db()
        seen = {one.pk: one.version for one in every}
    merging.merge_orders(
        into_id=into.pk, other_ids=[one.pk for one in others], seen=seen, by=None, now=LATER
    )
    for one in every:
        one.refresh_from_db()
    return into


def come_back(order: WorkOrder) -> WorkOrder:
    moving.move_order(
        order_id=order.pk, to_state=OrderState.PROPOSED, by=None, now=LATER, why="by itself again"
    )
    order.refresh_from_db()
    return order


def steps_of(order: WorkOrder) -> list[tuple[int, str]]:
    return list(order.steps.order_by("place").values_list("place", "what"))
