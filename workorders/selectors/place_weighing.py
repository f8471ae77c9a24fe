"""What a place for an order would mean: what stands against it, and what of that is new."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from workorders.clash_words import Names, clash_words
from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.planning.outages import what_changes
from workorders.planning.outages.clashes import Clash, clashes_of
from workorders.planning.outages.plan import Placement, Plan
from workorders.selectors.outage_plan import plan_from, span_of
from workorders.selectors.outage_rows import rows_of
from workorders.selectors.part_supply import supply_of_orders

# What stands this near may clash; what is farther off is heeded by its end alone.
_AROUND = timedelta(days=7)


@dataclass(frozen=True)
class Weighed:
    """`clashes` are the order's own there, `added` those that the move makes, of others too."""

    plan: Plan
    names: Names
    clashes: tuple[Clash, ...]
    added: tuple[Clash, ...]

    def words(self) -> list[str]:
        return [clash_words(one, self.plan, self.names) for one in self.clashes]

    def added_words(self) -> list[str]:
        """Each with its order, the order that is moved first."""
        return [
            f"{one.job}: {clash_words(one, self.plan, self.names)}"
            for one in sorted(self.added, key=lambda one: one not in self.clashes)
        ]


def weigh_place(
    order: WorkOrder,
    *,
    window: OutageWindow | None,
    crew: Crew,
    starts_at: datetime,
    ends_at: datetime,
    now: datetime,
) -> Weighed:
    """A bounded number of queries; the order is approved, scheduled or in hand."""
    plant = order.conveyor.plant
    first = min(starts_at, window.starts_at) if window else starts_at
    last = max(ends_at, window.ends_at) if window else ends_at
    rows = rows_of(plant, first - _AROUND, last + _AROUND, also=order.pk)
    supply = supply_of_orders(plant, rows.orders, today=plant.day_of(now))
    before = plan_from(rows, supply)
    key = str(window.pk) if window else None
    placement = Placement(order.number, key, str(crew.pk), span_of(starts_at, ends_at))
    after = what_changes.put(before, placement)
    clashes = clashes_of(after)
    return Weighed(
        plan=after,
        names=rows.names,
        clashes=tuple(one for one in clashes if one.job == order.number),
        added=what_changes.added(clashes_of(before), clashes),
    )
