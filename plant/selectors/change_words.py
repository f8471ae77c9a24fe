"""What a change of the register says to a reader: field words, old and new with their unit."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import models
from django.utils import formats
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant.models import (
    AttachmentChange,
    BeltChange,
    BeltMarkChange,
    ComponentChange,
    ConditionReadingChange,
    ConveyorChange,
    MeterReadingChange,
    PlantChange,
    RollChangeChange,
    SpliceChange,
)
from plant.register_files.sheets import BY_CODE

_UNIT_SPACE = "\N{NO-BREAK SPACE}"
_NOTHING = "—"
# A row's own key and the row it belongs to never change.
_KEYS = frozenset(
    {"id", "plant", "conveyor", "belt", "component"}
    # Who wrote it is told beside every change.
    | {"kept_by", "undone_by", "together", "stood_mm"}
)
_DIGITS = 6


@dataclass(frozen=True)
class Kind:
    """One kind of rows of the register; `rank` tells its changes from those of the others.

    `under` is the field by which changes are found; a name is looked for in `name_field` and, where
    there is one, in `other_name_field`.
    """

    code: str
    rank: int
    change: Any
    words: str | Promise
    name_of: Callable[[Any], str]
    sheet: str = ""
    under: str = "conveyor"
    name_field: str = "name"
    other_name_field: str = ""


@dataclass(frozen=True)
class FieldChange:
    field: str
    unit: str
    old: Any
    new: Any
    words: str
    old_words: str
    new_words: str


def _belt_name(row: Any) -> str:
    return row.name or f"{row.carcass} {row.width_mm:g} mm"


def _mark_name(row: Any) -> str:
    return f"{row.get_kind_display()} {_('at')} {_number(row.belt_position_m)}{_UNIT_SPACE}m"


def _roll_name(row: Any) -> str:
    return f"{row.set_name}, {row.get_roll_display()}"


def _reading_name(row: Any) -> str:
    where = f", {row.spot}" if row.spot else ""
    return f"{row.get_quantity_display()}{where}, {row.taken_at:%Y-%m-%d %H:%M} UTC"


def _meter_name(row: Any) -> str:
    return f"{row.get_quantity_display()}, {row.read_at:%Y-%m-%d %H:%M} UTC"


def _attachment_name(row: Any) -> str:
    return row.caption or row.file_name or str(row.get_kind_display())


KINDS = (
    Kind(
        "conveyor",
        0,
        ConveyorChange,
        gettext_lazy("conveyor"),
        lambda row: row.tag,
        "conveyors",
        under="pgh_obj",
        name_field="tag",
    ),
    Kind(
        "component", 1, ComponentChange, gettext_lazy("component"), lambda r: r.name, "components"
    ),
    Kind("belt", 2, BeltChange, gettext_lazy("belt"), _belt_name, "belts"),
    Kind(
        "splice",
        3,
        SpliceChange,
        gettext_lazy("splice"),
        lambda row: row.name,
        "splices",
        under="belt",
    ),
    Kind(
        "mark",
        4,
        BeltMarkChange,
        gettext_lazy("belt mark"),
        _mark_name,
        "marks",
        under="belt",
        name_field="kind",
    ),
    Kind(
        "roll",
        6,
        RollChangeChange,
        gettext_lazy("roll change"),
        _roll_name,
        name_field="set_name",
    ),
    Kind(
        "attachment",
        10,
        AttachmentChange,
        gettext_lazy("picture or drawing"),
        _attachment_name,
        name_field="caption",
        other_name_field="file_name",
    ),
)
# What is measured comes daily: its history stands on its own pages.
CONDITION = Kind(
    "reading",
    7,
    ConditionReadingChange,
    gettext_lazy("condition reading"),
    _reading_name,
    name_field="quantity",
)
METER = Kind(
    "meter",
    8,
    MeterReadingChange,
    gettext_lazy("meter reading"),
    _meter_name,
    name_field="quantity",
)
PLANT = Kind("plant", 9, PlantChange, gettext_lazy("plant"), lambda row: row.code, under="pgh_obj")
OTHER_KINDS = (CONDITION, METER, PLANT)


def differences(kind: Kind, old: Any, new: Any) -> list[FieldChange]:
    """Field by field; against nothing, what was filled in at all."""
    return list(_differences(kind, old, new))


def _differences(kind: Kind, old: Any, new: Any) -> Iterator[FieldChange]:
    columns = BY_CODE[kind.sheet].by_field if kind.sheet else {}
    for field in kind.change._meta.fields:
        if field.name.startswith("pgh_") or field.name in _KEYS:
            continue
        before = None if old is None else getattr(old, field.name)
        after = getattr(new, field.name)
        if before == after or (old is None and after in (None, "", [], False)):
            continue
        unit = columns[field.name].unit if field.name in columns else ""
        yield FieldChange(
            field=field.name,
            unit=unit,
            old=before,
            new=after,
            words=str(field.verbose_name),
            old_words=_in_words(field, before, unit),
            new_words=_in_words(field, after, unit),
        )


def _in_words(field: "models.Field[Any, Any]", value: Any, unit: str) -> str:
    if value is None or value in ("", []):
        return _NOTHING
    if field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, list) and isinstance(value[0], list):
        return "; ".join(
            " ".join(f"{_number(one)}{_UNIT_SPACE}m" for one in pair) for pair in value
        )
    if isinstance(value, list):
        # Lines may hold commas themselves.
        return ("; " if any("," in one for one in value) else ", ").join(map(str, value))
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M} UTC"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | float | Decimal):
        return _number(value) + (f"{_UNIT_SPACE}{unit}" if unit else "")
    return str(value)


def _number(value: float | Decimal) -> str:
    text = f"{value:.{_DIGITS}f}".rstrip("0").rstrip(".") if not isinstance(value, int) else value
    return formats.number_format(text, use_l10n=True)
