"""Which limit holds where: of the component, else its conveyor, else the plant, else usual."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from plant.loop.condition import Quantity
from plant.models import Conveyor, Plant
from workorders.models import ConditionLimit
from workorders.planning.usual_limits import USUAL_LIMITS


class Scope(StrEnum):
    COMPONENT = "component"
    CONVEYOR = "conveyor"
    PLANT = "plant"
    USUAL = "usual"


@dataclass(frozen=True)
class LimitInForce:
    """`value` is None where nothing is set and nothing is usual."""

    value: float | None
    scope: Scope


@dataclass(frozen=True)
class LimitRow:
    """A limit that somebody set, and whether it is the one of its scope in force."""

    row: ConditionLimit
    is_in_force: bool


class Limits:
    """The limits of a plant; asked for any number of places without a query."""

    def __init__(self, rows: Iterable[ConditionLimit]) -> None:
        # The newest first.
        self._newest: dict[tuple[int | None, int | None, str], ConditionLimit] = {}
        for row in rows:
            self._newest.setdefault((row.conveyor_id, row.component_id, row.quantity), row)

    def of(
        self, quantity: Quantity, conveyor_id: int | None, component_id: int | None
    ) -> LimitInForce:
        for scope, key in (
            (Scope.COMPONENT, (conveyor_id, component_id)),
            (Scope.CONVEYOR, (conveyor_id, None)),
            (Scope.PLANT, (None, None)),
        ):
            named = {Scope.COMPONENT: component_id, Scope.CONVEYOR: conveyor_id}
            if named.get(scope, 0) is None:
                continue
            row = self._newest.get((*key, quantity.value))
            if row is not None and row.value is not None:
                return LimitInForce(row.value, scope)
        return LimitInForce(USUAL_LIMITS.get(quantity), Scope.USUAL)

    def is_in_force(self, row: ConditionLimit) -> bool:
        newest = self._newest.get((row.conveyor_id, row.component_id, row.quantity))
        return newest is not None and newest.pk == row.pk


def limits_of(plant_id: int) -> Limits:
    """One query."""
    return Limits(ConditionLimit.objects.counting().filter(plant=plant_id))


def plant_limits(plant: Plant) -> list[tuple[Quantity, LimitInForce]]:
    """What holds at the plant where nothing narrower does."""
    limits = limits_of(plant.pk)
    return [(one, limits.of(one, None, None)) for one in Quantity]


def set_limits(plant: Plant, conveyor: Conveyor | None = None) -> list[LimitRow]:
    """Everything that was set, taken back or not, the newest first; two queries."""
    rows = ConditionLimit.objects.filter(plant=plant).select_related(
        "conveyor", "component", "set_by", "undone_by"
    )
    if conveyor is not None:
        rows = rows.filter(conveyor=conveyor)
    limits = limits_of(plant.pk)
    return [LimitRow(row, limits.is_in_force(row)) for row in rows[:_MOST_ROWS]]


_MOST_ROWS = 200
