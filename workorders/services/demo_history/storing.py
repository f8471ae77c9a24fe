"""What lies in the stores of the invented plants, and what orders took and still want of it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from plant.models import Plant, User
from plant.roles import Role
from plant.selectors.loops import fitted_belt
from workorders.models import OrderPart, Part, PartDue, PartMovement, PartUse, WorkOrder
from workorders.order_states import SET_ASIDE_STATES, OrderState
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read
from workorders.services.part_stock import change_stock

_FIELDS = ("number", "name", "kind", "unit", "known_as", "kept_at", "note")
_FITTED = frozenset({OrderState.IN_HAND, OrderState.DONE, OrderState.PROVED})


@dataclass(frozen=True)
class _Event:
    """Something that changed the number on hand; `there_are` of a count, else `change`."""

    at: datetime
    kind: PartMovement.Kind
    change: Decimal = Decimal(0)
    there_are: Decimal | None = None
    why: str = ""
    line: OrderPart | None = None


def fill_stores(plant: Plant, cast: Cast, now: datetime) -> None:
    """In the order of the file; what an order could not have had stays wanted."""
    hands, planner = cast.by_role[Role.TECHNICIAN], cast.by_role[Role.PLANNER][0]
    said = read("parts.yaml")
    began = now - timedelta(days=said["began_days_ago"])
    orders = _orders(plant, began)
    for number, one in enumerate(said["parts"]):
        if one["plant"] != plant.code:
            continue
        part = _write(plant, one)
        lines = [_line(part, order, one["jobs"]) for order in orders if _takes(order, one)]
        events = [*_stock(one, began, now), *_fitted(lines)]
        for event in sorted(events, key=lambda event: event.at):
            _happen(part, event, hands[number % len(hands)])
        _expect(part, one, planner, now)


def _write(plant: Plant, said: Mapping[str, Any]) -> Part:
    part = Part(plant=plant, **{name: said[name] for name in _FIELDS if name in said})
    part.full_clean(exclude=["known_as"])
    part.save()
    for fits in said.get("fits", ()):
        # YAML reads a bare `on` as a yes.
        figures = {name: value for name, value in fits.items() if name != "at"}
        PartUse.objects.create(part=part, on=fits["at"], **figures)
    return part


def _orders(plant: Plant, began: datetime) -> list[tuple[WorkOrder, float | None]]:
    """With the width of each one's belt, by which the part is chosen; the oldest first."""
    rows = WorkOrder.objects.filter(conveyor__plant=plant, raised_at__gt=began)
    rows = rows.exclude(state__in=SET_ASIDE_STATES).select_related("conveyor")
    widths: dict[int, float | None] = {}
    for row in rows:
        if row.conveyor_id not in widths:
            belt = fitted_belt(row.conveyor)
            widths[row.conveyor_id] = belt.width_mm if belt else None
    return [(row, widths[row.conveyor_id]) for row in rows.order_by("raised_at", "pk")]


def _takes(order: tuple[WorkOrder, float | None], said: Mapping[str, Any]) -> bool:
    row, width_mm = order
    if row.work_method not in said["jobs"]:
        return False
    widths = {one.get("belt_width_mm") for one in said.get("fits", ({},))}
    return None in widths or width_mm in widths


def _line(
    part: Part, order: tuple[WorkOrder, float | None], jobs: Mapping[str, float]
) -> OrderPart:
    amount = Decimal(str(jobs[order[0].work_method]))
    return OrderPart.objects.create(order=order[0], part=part, amount=amount)


def _stock(said: Mapping[str, Any], began: datetime, now: datetime) -> Iterator[_Event]:
    yield _Event(began, PartMovement.Kind.COUNTED, there_are=Decimal(str(said["first"])))
    for one in said.get("came", ()):
        at = now - timedelta(days=one["days_ago"])
        yield _Event(at, PartMovement.Kind.CAME, Decimal(str(one["amount"])))
    if "counted" in said:
        at = now - timedelta(days=said["counted"]["days_ago"])
        there_are = Decimal(str(said["counted"]["there_are"]))
        yield _Event(at, PartMovement.Kind.COUNTED, there_are=there_are, why=said["counted"]["why"])


def _fitted(lines: list[OrderPart]) -> Iterator[_Event]:
    """Each order that was begun took its parts when it was taken in hand the last time."""
    for line in lines:
        if line.order.state not in _FITTED:
            continue
        moves = line.order.moves.filter(to_state=OrderState.IN_HAND.value).order_by("-at")
        begun = moves.values_list("at", flat=True)[0]
        yield _Event(begun, PartMovement.Kind.USED, -line.amount, line=line)


def _happen(part: Part, event: _Event, by: User) -> None:
    change = event.change
    if event.there_are is not None:
        change = event.there_are - part.on_hand
    if part.on_hand + change < 0:
        return
    order = event.line.order if event.line else None
    change_stock(part, change, event.kind, by=by, now=event.at, why=event.why, order=order)
    if event.line:
        event.line.used = -change
        event.line.save(update_fields=["used"])


def _expect(part: Part, said: Mapping[str, Any], by: User, now: datetime) -> None:
    today = part.plant.day_of(now)
    for one in said.get("due", ()):
        PartDue.objects.create(
            part=part,
            amount=Decimal(str(one["amount"])),
            due_on=today + timedelta(days=one["in_days"]),
            note=one.get("note", ""),
            said_by=by,
        )
