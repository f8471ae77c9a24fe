"""The register of a conveyor as it stood at an instant, rebuilt from its changes."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import models
from django.db.models import QuerySet

from plant.models import (
    Belt,
    BeltChange,
    BeltMark,
    BeltMarkChange,
    Component,
    ComponentChange,
    Conveyor,
    ConveyorChange,
    RollChange,
    RollChangeChange,
    Splice,
    SpliceChange,
)
from plant.models.register_changes import REMOVED
from plant.selectors.conveyor_sheet import RegisterRows


@dataclass(frozen=True)
class RegisterAsOf:
    """Rows to read, not to save; `conveyor` is None before anything of it was written down."""

    conveyor: Conveyor | None
    rows: RegisterRows
    # Those that counted, the last one first.
    rolls: list[RollChange]
    # When the first change of the conveyor was kept.
    began_at: datetime | None


def register_as_of(conveyor: Conveyor, at: datetime) -> RegisterAsOf:
    """Figures, components, belts, splices, marks and rolls changed as they stood; seven queries."""
    changes = ConveyorChange.objects.filter(pgh_obj=conveyor.pk)
    began_at = changes.order_by("pgh_id").values_list("pgh_created_at", flat=True).first()
    then = next(iter(_standing(changes, Conveyor, at)), None)
    if then is None:
        return RegisterAsOf(None, RegisterRows([], [], {}, {}), [], began_at)
    then.plant = conveyor.plant
    components = _standing(ComponentChange.objects.filter(conveyor=conveyor.pk), Component, at)
    for component in components:
        # The database computes it; these rows come from no table of its own.
        component.last_m = component.first_m + (component.spacing_m or 0) * (component.count - 1)
    belts = _standing(BeltChange.objects.filter(conveyor=conveyor.pk), Belt, at)
    on = [belt.pk for belt in belts]
    rows = RegisterRows(
        components=sorted(components, key=lambda one: (one.first_m, one.name)),
        belts=sorted(belts, key=lambda one: one.pk, reverse=True),
        splices=_by_belt(_standing(SpliceChange.objects.filter(belt__in=on), Splice, at)),
        marks=_by_belt(_standing(BeltMarkChange.objects.filter(belt__in=on), BeltMark, at)),
    )
    changes = _standing(RollChangeChange.objects.filter(conveyor=conveyor.pk), RollChange, at)
    rolls = [one for one in changes if one.undone_at is None]
    rolls.sort(key=lambda one: (one.changed_on, one.pk), reverse=True)
    return RegisterAsOf(then, rows, rolls, began_at)


def _standing(changes: QuerySet[Any], model: type[models.Model], at: datetime) -> list[Any]:
    # By the key: `pgh_obj` would be ordered as its model is.
    until = changes.filter(pgh_created_at__lte=at).order_by("pgh_obj_id", "-pgh_id")
    last = until.distinct("pgh_obj_id")
    return [_row(model, one) for one in last if one.pgh_label != REMOVED]


def _row(model: type[models.Model], change: Any) -> models.Model:
    names = [one.attname for one in change._meta.fields if not one.name.startswith("pgh_")]
    return model(**{name: getattr(change, name) for name in names})


def _by_belt(rows: list[Any]) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in sorted(rows, key=lambda one: one.belt_position_m):
        found[row.belt_id].append(row)
    return dict(found)
