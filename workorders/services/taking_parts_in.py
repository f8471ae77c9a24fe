"""A file of parts, looked at before, is taken in: whole or not at all."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from plant.models import Plant, User
from plant.services.register_refusals import FieldRefusal, StaleForm
from workorders.models import Part, PartMovement
from workorders.services import keeping_parts
from workorders.services.part_stock import change_stock, lock_part


class CatalogueChanged(FieldRefusal):
    code = "part_catalogue_changed"


@transaction.atomic
def take_in(
    *, plant_id: int, rows: Sequence[Mapping[str, Any]], by: User | None, now: datetime
) -> int:
    """Add and change as `rows` say: `number`, `values`, `version` (None: a new part).

    Refuses with CatalogueChanged when one of them is no longer as the person saw it.
    """
    # One file at a time; whoever books or counts meanwhile is noticed by the part's version.
    Plant.objects.select_for_update(no_key=True).get(pk=plant_id)
    for row in sorted(rows, key=lambda row: str(row["number"]).casefold()):
        try:
            _take(plant_id, row, by, now)
        except (StaleForm, keeping_parts.PartNumberTaken, Part.DoesNotExist) as refusal:
            raise CatalogueChanged(
                _("%(number)s was changed meanwhile. Nothing was taken in; send the file again.")
                % {"number": row["number"]}
            ) from refusal
    return len(rows)


def _take(plant_id: int, row: Mapping[str, Any], by: User | None, now: datetime) -> None:
    values = dict(row["values"])
    on_hand = values.pop("on_hand", None)
    there_are = None if on_hand is None else Decimal(str(on_hand))
    if row["version"] is None:
        keeping_parts.add_part(
            plant_id=plant_id,
            values={**values, "number": row["number"]},
            on_hand=there_are or Decimal(0),
            by=by,
            now=now,
        )
        return
    part = Part.objects.get(plant_id=plant_id, number__iexact=row["number"])
    part = keeping_parts.edit_part(part_id=part.pk, values=values, version=row["version"], by=by)
    if there_are is not None and there_are != part.on_hand:
        part = lock_part(part.pk)
        change_stock(
            part,
            there_are - part.on_hand,
            PartMovement.Kind.COUNTED,
            by=by,
            now=now,
            why=_("Counted, by a file."),
        )
