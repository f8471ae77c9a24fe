"""Placed orders that do not fit where they stand, in words, for pages that are not the sheet."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from plant.models import Plant
from workorders.clash_words import Names, clash_words
from workorders.models import OutageWindow, WorkOrder
from workorders.order_states import OrderState
from workorders.planning.outages.clashes import Clash, clashes_of
from workorders.planning.outages.plan import Plan
from workorders.selectors.outage_plan import plan_from
from workorders.selectors.outage_rows import SheetRows, rows_of
from workorders.selectors.part_supply import supply_of_orders

# What a planner looks at from day to day.
SOON = timedelta(days=60)


@dataclass(frozen=True)
class Looked:
    """A stretch of the sheet and everything that stands against its placed work."""

    rows: SheetRows
    plan: Plan
    clashes: tuple[Clash, ...]


@dataclass(frozen=True)
class Unfit:
    """`words` say what is wrong; empty for an order that fits."""

    order: WorkOrder
    words: tuple[str, ...] = ()


def look(plant: Plant, from_at: datetime, until_at: datetime, now: datetime) -> Looked:
    """A bounded number of queries, however much is planned."""
    rows = rows_of(plant, from_at, until_at)
    today = plant.day_of(now)
    plan = plan_from(rows, supply_of_orders(plant, rows.orders, today=today))
    return Looked(rows, plan, clashes_of(plan))


def told(looked: Looked, clashes: Iterable[Clash]) -> list[Unfit]:
    """Each order with its clashes in words, in the order of their times."""
    names = Names(
        zone=looked.rows.plant.zone_info,
        windows={str(one.pk): one.name for one in looked.rows.windows},
        crews={str(one.pk): one.name for one in looked.rows.crews},
    )
    words: dict[str, list[str]] = defaultdict(list)
    for clash in clashes:
        words[clash.job].append(clash_words(clash, looked.plan, names))
    for order in looked.rows.orders:
        # It is this plant's, and need not be asked for again.
        order.conveyor.plant = looked.rows.plant
    return [
        Unfit(one, tuple(words[one.number])) for one in looked.rows.orders if one.number in words
    ]


def unfit_soon(plants: Sequence[Plant], now: datetime) -> list[Unfit]:
    """What a planner of these plants must place anew in the coming weeks."""
    placed = WorkOrder.objects.filter(
        state=OrderState.SCHEDULED, crew__isnull=False, conveyor__plant__in=plants
    )
    # Nearly always one query: a plant that places no work is not looked at.
    busy = set(placed.values_list("conveyor__plant_id", flat=True).distinct())
    found: list[Unfit] = []
    for plant in plants:
        if plant.pk in busy:
            looked = look(plant, now, now + SOON, now)
            found += told(looked, looked.clashes)
    return found


def orders_of_window(window: OutageWindow, now: datetime) -> list[Unfit]:
    """All open work that is placed in a window, with what does not fit."""
    looked = look(window.plant, window.starts_at, window.ends_at, now)
    unfit = {one.order.pk: one for one in told(looked, looked.clashes)}
    here = [one for one in looked.rows.orders if one.window_id == window.pk]
    crews = {one.pk: one for one in looked.rows.crews}
    for order in here:
        order.crew = crews.get(order.crew_id) if order.crew_id else None
    return [unfit.get(one.pk, Unfit(one)) for one in here]


def count_unfit(plant: Plant, windows: Sequence[OutageWindow], now: datetime) -> None:
    """Put `unfit_count` on the windows of a page: how many of their orders do not fit."""
    counts = _unfit_by_window(plant, windows, now)
    for window in windows:
        window.unfit_count = counts.get(window.pk, 0)  # type: ignore[attr-defined]


def _unfit_by_window(
    plant: Plant, windows: Sequence[OutageWindow], now: datetime
) -> dict[int, int]:
    busy = [one for one in windows if getattr(one, "order_count", 1)]
    if not busy:
        return {}
    from_at, until_at = min(w.starts_at for w in busy), max(w.ends_at for w in busy)
    looked = look(plant, from_at, until_at, now)
    numbers = {one.job for one in looked.clashes}
    counts: dict[int, int] = defaultdict(int)
    for order in looked.rows.orders:
        if order.number in numbers and order.window_id is not None:
            counts[order.window_id] += 1
    return dict(counts)
