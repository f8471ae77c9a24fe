"""Planned rows between the comparison, the table that keeps them and the register."""

from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal
from itertools import islice
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _

from plant.models import PlannedRow, RegisterImport
from plant.register_files import planned
from plant.register_files.columns import REFERENCES, Kind
from plant.register_files.refusals import Reason
from plant.register_files.sheets import BY_CODE
from plant.selectors.register_rows import MODELS

_PIECE = 2000


class FieldChecks:
    """What the register asks of single fields: the validators of its own models."""

    def __init__(self, today: date) -> None:
        self.today = today
        self._fields = {
            code: {name: MODELS[code]._meta.get_field(name) for name in _checked(code)}
            for code in MODELS
        }

    def __call__(self, code: str, values: dict[str, Any], told: set[str] | None) -> list[Reason]:
        """Reasons against a row's values; `told` are the fields that change, None: all."""
        found = []
        fields = self._fields[code]
        for name in fields if told is None else told & fields.keys():
            field = fields[name]
            value = values[name]
            if value in field.empty_values and (field.null or field.blank):
                continue
            try:
                field.clean(value, None)
            except ValidationError as error:
                header = BY_CODE[code].by_field[name].header
                found.append(Reason("said", header, {"text": " ".join(error.messages)}))
        if code == "conveyors":
            found += self._of_conveyor(values, told)
        if code == "rolls" and (told is None or "changed_on" in told):
            found += self._of_roll(values)
        if code == "readings" and (told is None or "taken_at" in told):
            found += self._of_reading(values)
        return found

    def _of_conveyor(self, values: dict[str, Any], told: set[str] | None) -> list[Reason]:
        found = []
        left, right = values["left_words"], values["right_words"]
        if left and left.casefold() == right.casefold():
            text = _("Left and right need words of their own.")
            found.append(Reason("said", "Word for right", {"text": text}))
        retired_on = values["retired_on"]
        if retired_on and retired_on > self.today and (told is None or "retired_on" in told):
            found.append(Reason("day_to_come", "Retired"))
        return found

    def _of_roll(self, values: dict[str, Any]) -> list[Reason]:
        day = values["changed_on"]
        return [Reason("day_to_come", "Changed")] if day and day > self.today else []

    def _of_reading(self, values: dict[str, Any]) -> list[Reason]:
        taken_at = values["taken_at"]
        # A clock that is a little fast is no reason to refuse a reading.
        is_to_come = timezone.localdate(taken_at, taken_at.tzinfo) > self.today
        return [Reason("day_to_come", "Taken")] if is_to_come else []


def _checked(code: str) -> list[str]:
    known = {field.name for field in MODELS[code]._meta.fields}
    known -= REFERENCES
    return [column.field for column in BY_CODE[code].columns if column.field in known]


def keep_rows(register_import: RegisterImport, rows: list[planned.PlannedRow]) -> Iterator[int]:
    """Put planned rows into their table, piece by piece; yields how many are kept so far."""
    places = iter(enumerate(rows))
    kept = 0
    while piece := list(islice(places, _PIECE)):
        PlannedRow.objects.bulk_create(_kept(register_import, place, plan) for place, plan in piece)
        kept += len(piece)
        yield kept


def _kept(register_import: RegisterImport, place: int, plan: planned.PlannedRow) -> PlannedRow:
    verdict = plan.verdict
    return PlannedRow(
        register_import=register_import,
        place=place,
        sheet=plan.sheet,
        row_number=plan.number,
        verdict=verdict.value,
        tag=plan.tag[:200],
        name=plan.name[:200],
        row_pk=plan.pk,
        values=_values(plan) if verdict in {"new", "changed"} else {},
        changes=[[name, _plain(old), _plain(new)] for name, old, new in plan.changes],
        reasons=[[one.code, one.column, one.values] for one in plan.reasons],
    )


def _values(plan: planned.PlannedRow) -> dict[str, Any]:
    told = dict(plan.values) if plan.is_new else {name: new for name, _o, new in plan.changes}
    told |= {name: plan.values[name] for name in ("belt", "component") if name in plan.values}
    return {name: _plain(value) for name, value in told.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, date | datetime):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value


def values_of(row: PlannedRow) -> dict[str, Any]:
    """The fields to be written, as the register holds them; owners left out."""
    columns = BY_CODE[row.sheet].by_field
    return {
        name: _revived(columns[name].kind, value)
        for name, value in row.values.items()
        if name not in REFERENCES
    }


def _revived(kind: Kind, value: Any) -> Any:
    if value is None:
        return None
    match kind:
        case Kind.DAY:
            return date.fromisoformat(value)
        case Kind.MOMENT:
            return datetime.fromisoformat(value)
        case Kind.DECIMAL:
            return Decimal(value)
    return value
