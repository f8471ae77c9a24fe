"""Many rows of the register kept at once, by the rules that hold for one: loops, versions, names.

Only inside a transaction that holds the locks of all conveyors concerned.
"""

import uuid
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from itertools import islice
from typing import Any, TypeVar

import pgtrigger
from django.db.models import CharField, F, QuerySet, Value
from django.db.models.functions import Cast, Concat

from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind
from plant.models import (
    Belt,
    BeltMark,
    Component,
    ConditionReading,
    Conveyor,
    PlannedRow,
    Plant,
    RollChange,
    Splice,
    User,
)
from plant.models.versioned import Versioned
from plant.roll_words import set_words
from plant.selectors.register_rows import MODELS
from plant.services.conveyor_lock import check_loop, tell_changed
from plant.services.import_rows import values_of

_PIECE = 2000
# What decides where a component stands and what it is called, each held by a constraint.
_PLACES = frozenset({"name", "kind", "run", "first_m", "spacing_m", "count"})
_PARKED = ("pk", "name", "kind")

Row = TypeVar("Row", bound=Versioned)
Rows = Callable[[str], QuerySet[PlannedRow]]
Tick = Callable[[int], None]


class BulkKeeping:
    """Writes planned rows, sheet by sheet, in the order in which they depend on each other."""

    def __init__(self, plant: Plant, conveyors: dict[str, Conveyor], by: User, tick: Tick) -> None:
        self.plant, self.by, self._tick = plant, by, tick
        self._conveyors = conveyors
        self._changed: set[str] = set()
        self._loops: set[str] = set()
        self._read: set[str] = set()
        self._made: set[str] = set()
        self._new_belts: dict[tuple[Any, ...], int] = {}
        # What a component was called before it was put out of the way, and what it was.
        self._parked: dict[int, tuple[str, str]] = {}
        self._together = uuid.uuid4()
        self._parts: dict[int, Part] = {}
        self._done = 0

    def keep(self, rows: Rows) -> None:
        for code, way in (
            ("conveyors", self._conveyor),
            ("components", self._component),
            ("belts", self._belt),
            ("splices", self._splice),
            ("marks", self._mark),
            ("readings", self._reading),
            ("rolls", self._roll),
        ):
            self._keep_sheet(code, rows(code), way)
        for tag in sorted(self._loops):
            check_loop(self._conveyors[tag])
            self._tick(self._done)

    def tell(self, now: datetime) -> None:
        """Note on every conveyor that it was changed, and let the rooms above know."""
        # Of a conveyor that is new nobody has thought anything yet.
        stood = [self._conveyors[tag] for tag in sorted((self._changed | self._read) - self._made)]
        Conveyor.objects.filter(pk__in=[one.pk for one in stood]).update(changed_at=now)
        for one in stood:
            one.changed_at = now
            # Readings do not change the belt line: nobody has to think anew.
            if one.tag.upper() in self._changed:
                tell_changed(one)
            self._tick(self._done)

    def _keep_sheet(
        self, code: str, rows: QuerySet[PlannedRow], way: Callable[[PlannedRow, Any], Any]
    ) -> None:
        if code == "components":
            self._park(rows)
        # Changed rows come first: they make room for new ones.
        for piece in _pieces(rows.order_by("verdict", "place")):
            pks = [int(row.row_pk) for row in piece if row.row_pk]
            standing = MODELS[code].objects.in_bulk(pks)
            changed = [(row, way(row, standing[row.row_pk])) for row in piece if row.row_pk]
            new = [(row, way(row, None)) for row in piece if not row.row_pk]
            self._write_changed(code, changed)
            made = MODELS[code].objects.bulk_create([one for _row, one in new])
            self._note_new(code, new, made)
            self._done += len(piece)
            self._tick(self._done)

    def _park(self, rows: QuerySet[PlannedRow]) -> None:
        """Take components out of each other's way before they move or change names.

        Constraints are asked row by row: of two groups that move into each other's place the
        first would be refused. All are written again before the transaction ends.
        """
        moving = rows.filter(row_pk__isnull=False, values__has_any_keys=sorted(_PLACES))
        pks = [int(pk or 0) for pk in moving.values_list("row_pk", flat=True)]
        standing = Component.objects.filter(pk__in=pks)
        self._parked = {pk: (name, kind) for pk, name, kind in standing.values_list(*_PARKED)}
        # Nobody moved them there: only where they come to stand is news.
        with pgtrigger.ignore("plant.Component:changed_update"):
            standing.update(
                kind=ComponentKind.STRUCTURE_SECTION.value,
                name=Concat(Value("\x1a "), Cast(F("pk"), CharField())),
            )

    def _write_changed(self, code: str, pairs: list[tuple[PlannedRow, Any]]) -> None:
        if not pairs:
            return
        fields = {name for row, _one in pairs for name in values_of(row)} | {"version"}
        if code == "components":
            fields |= {"name", "kind"}
        if code == "belts":
            # A belt comes off before another one goes on.
            pairs = sorted(pairs, key=lambda pair: pair[1].removed_on is None)
        MODELS[code].objects.bulk_create(
            [one for _row, one in pairs],
            update_conflicts=True,
            unique_fields=["id"],
            update_fields=sorted(fields),
        )

    def _note_new(self, code: str, new: list[tuple[PlannedRow, Any]], made: list[Any]) -> None:
        for (row, _unsaved), one in zip(new, made, strict=True):
            if code == "conveyors":
                self._conveyors[one.tag.upper()] = one
                self._made.add(one.tag.upper())
            if code == "belts":
                self._new_belts[row.tag.upper(), row.row_number] = one.pk

    def _conveyor(self, row: PlannedRow, standing: Conveyor | None) -> Conveyor:
        self._changed.add(row.tag.upper())
        return _changed(standing or Conveyor(plant=self.plant, version=0), row)

    def _component(self, row: PlannedRow, standing: Component | None) -> Component:
        self._changed.add(row.tag.upper())
        self._loops.add(row.tag.upper())
        if standing is not None and standing.pk in self._parked:
            standing.name, standing.kind = self._parked[standing.pk]
        return _changed(standing or Component(conveyor=self._of(row), version=0), row)

    def _belt(self, row: PlannedRow, standing: Belt | None) -> Belt:
        self._changed.add(row.tag.upper())
        return _changed(standing or Belt(conveyor=self._of(row), version=0), row)

    def _splice(self, row: PlannedRow, standing: Splice | None) -> Splice:
        self._changed.add(row.tag.upper())
        return _changed(standing or Splice(belt_id=self._belt_of(row), version=0), row)

    def _mark(self, row: PlannedRow, standing: BeltMark | None) -> BeltMark:
        self._changed.add(row.tag.upper())
        return _changed(standing or BeltMark(belt_id=self._belt_of(row), version=0), row)

    def _reading(self, row: PlannedRow, standing: ConditionReading | None) -> ConditionReading:
        self._read.add(row.tag.upper())
        if standing is not None:
            return _changed(standing, row)
        conveyor = self._of(row)
        belt_id = self._belt_of(row) if row.values.get("belt") else None
        component_id = None if belt_id else self._components_of(conveyor)[row.values["component"]]
        made = ConditionReading(
            conveyor=conveyor,
            belt_id=belt_id,
            component_id=component_id,
            kept_by=self.by,
            version=0,
        )
        return _changed(made, row)

    def _roll(self, row: PlannedRow, standing: RollChange | None) -> RollChange:
        self._read.add(row.tag.upper())
        if standing is not None:
            return _changed(standing, row)
        conveyor, name = self._of(row), row.values["component"]
        made = RollChange(
            conveyor=conveyor,
            component_id=self._components_of(conveyor)[name] if name else None,
            kept_by=self.by,
            together=self._together,
            version=0,
        )
        one = _changed(made, row)
        if one.component_id and one.set_number:
            one.set_name = set_words(self._part_of(one.component_id), one.set_number)
        return one

    def _part_of(self, pk: int) -> Part:
        if pk not in self._parts:
            self._parts[pk] = Component.objects.get(pk=pk).as_part()
        return self._parts[pk]

    def _of(self, row: PlannedRow) -> Conveyor:
        return self._conveyors[row.tag.upper()]

    def _belt_of(self, row: PlannedRow) -> int:
        kind, number = row.values["belt"]
        return int(number) if kind == "belt" else self._new_belts[row.tag.upper(), number]

    def _components_of(self, conveyor: Conveyor) -> dict[str, int]:
        found: dict[str, int] | None = getattr(conveyor, "names_of_components", None)
        if found is None:
            pairs = conveyor.components.values_list("name", "pk")
            found = {name.upper(): pk for name, pk in pairs}
            setattr(conveyor, "names_of_components", found)  # noqa: B010
        return found


def _changed(one: Row, row: PlannedRow) -> Row:
    for name, value in values_of(row).items():
        setattr(one, name, value)
    one.version += 1
    return one


def _pieces(rows: Iterable[PlannedRow]) -> Iterator[list[PlannedRow]]:
    left = iter(rows)
    while piece := list(islice(left, _PIECE)):
        yield piece
