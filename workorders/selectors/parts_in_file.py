"""A file of parts held against the catalogue: what is new, what differs, what cannot be."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Field
from django.utils.translation import gettext as _

from plant.import_words import ROWS, in_words
from plant.models import Plant
from plant.register_files.packages import unpacked_bytes
from plant.register_files.reading import ParsedRow, ParsedSheet
from plant.register_files.refusals import FileRefused
from workorders.models import Part
from workorders.models.part import MOST_AMOUNT
from workorders.part_sheet import READ
from workorders.part_words import figure

MOST_ROWS = 5_000
_NEEDED = ("name", "kind")
# What is unpacked while somebody waits: about a second's work.
LARGEST_UNPACKED_BYTES = 40_000_000


def check_size(content: bytes) -> None:
    """Refuses with FileRefused what would be long in reading."""
    if unpacked_bytes(content) > LARGEST_UNPACKED_BYTES:
        raise FileRefused("unpacks_too_large", most=LARGEST_UNPACKED_BYTES // 1_000_000)


@dataclass
class FileRow:
    """`version` is that of the part it would change, None for a new one."""

    row: int
    number: str
    values: dict[str, Any]
    version: int | None = None
    changes: list[tuple[str, str, str]] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)

    @property
    def is_new(self) -> bool:
        return self.version is None and not self.reasons

    @property
    def is_changed(self) -> bool:
        return self.version is not None and bool(self.changes) and not self.reasons


def compare(plant: Plant, sheet: ParsedSheet) -> list[FileRow]:
    """In the order of the file; one query."""
    standing = {part.number.casefold(): part for part in plant.parts.all()}
    seen: dict[str, int] = {}
    return [_settled(plant, row, standing, seen) for row in sheet.rows]


def _settled(
    plant: Plant, row: ParsedRow, standing: dict[str, Part], seen: dict[str, int]
) -> FileRow:
    number = str(row.values.get("number") or "")
    said = {name: value for name, value in row.values.items() if name in READ}
    found = FileRow(
        row.number, number, {name: said[name] for name in said if said[name] is not None}
    )
    found.reasons += [in_words(ROWS, (one.code, one.column, one.values)) for one in row.reasons]
    found.reasons += _of_row(plant, row, number, seen)
    seen.setdefault(number.casefold(), row.number)
    part = standing.get(number.casefold())
    if part is None:
        part = Part(plant=plant, number=number)
        missing = [name for name in _NEEDED if name not in found.values]
        found.reasons += [_("%(what)s is missing.") % {"what": _label(name)} for name in missing]
    else:
        found.version = part.version
        found.changes = list(_changes(part, found.values))
        found.reasons += _unit_kept(part, found.values)
    if not found.reasons:
        found.reasons += _cannot_be(part, found.values)
    return found


def _of_row(plant: Plant, row: ParsedRow, number: str, seen: dict[str, int]) -> Iterator[str]:
    if not number:
        yield _("The part number is missing.")
    elif number.casefold() in seen:
        yield in_words(ROWS, ("row_twice", "", {"other": seen[number.casefold()]}))
    code = row.values.get("plant")
    if code and code.casefold() != plant.code.casefold():
        yield in_words(ROWS, ("other_plant", "", {"plant": code, "this": plant.code}))


def _changes(part: Part, values: dict[str, Any]) -> Iterator[tuple[str, str, str]]:
    for name, value in values.items():
        old = getattr(part, name)
        if old != value:
            yield _label(name), _shown(old), _shown(value)


def _unit_kept(part: Part, values: dict[str, Any]) -> Iterator[str]:
    if "unit" in values and values["unit"] != part.unit:
        yield _("Its unit is %(unit)s. Units are changed on its page.") % {
            "unit": part.get_unit_display()
        }


def _cannot_be(part: Part, values: dict[str, Any]) -> Iterator[str]:
    """What its fields would refuse; the row itself stays as it was."""
    would = Part(
        plant=part.plant,
        number=part.number,
        **{name: values.get(name, getattr(part, name)) for name in READ},
    )
    try:
        would.clean_fields(exclude=["plant", "known_as"])
    except ValidationError as error:
        for name, messages in error.message_dict.items():
            yield f"{_label(name)}: {' '.join(messages)}"
        return
    amount: Decimal = would.on_hand
    if not 0 <= amount <= MOST_AMOUNT or (
        would.is_counted_whole and amount != amount.to_integral_value()
    ):
        yield _("%(amount)s cannot be on hand.") % {"amount": amount}
    if len(would.known_as) > 20 or any(len(name) > 60 for name in would.known_as):
        yield _("At most 20 other names of at most 60 letters.")


def _label(name: str) -> str:
    column = Part._meta.get_field(name)
    assert isinstance(column, Field)
    return str(column.verbose_name)


def _shown(value: Any) -> str:
    if isinstance(value, Decimal):
        return figure(value)
    return ", ".join(value) if isinstance(value, list) else str(value)
