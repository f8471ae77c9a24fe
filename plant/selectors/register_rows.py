"""The rows of the register as the sheets of a file know them, to compare with and to write."""

from collections import defaultdict
from collections.abc import Collection, Hashable, Iterator
from typing import Any

from django.db.models import QuerySet
from django.db.models.functions import Upper

from plant.models import (
    Belt,
    BeltMark,
    Component,
    ConditionReading,
    Conveyor,
    Plant,
    RollChange,
    Splice,
)
from plant.register_files.columns import REFERENCES
from plant.register_files.sheets import BY_CODE
from plant.register_files.standing import Register, StandingConveyor, StandingRow

MODELS: dict[str, Any] = {
    "conveyors": Conveyor,
    "components": Component,
    "belts": Belt,
    "splices": Splice,
    "marks": BeltMark,
    "readings": ConditionReading,
    "rolls": RollChange,
}
_CONVEYOR_OF = {
    "components": "conveyor_id",
    "belts": "conveyor_id",
    "splices": "belt__conveyor_id",
    "marks": "belt__conveyor_id",
    "readings": "conveyor_id",
    "rolls": "conveyor_id",
}
_PIECE = 2000


def fields_of(code: str) -> list[str]:
    """The columns of a sheet that are fields of its row itself."""
    names = [column.field for column in BY_CODE[code].columns]
    return [name for name in names if name not in REFERENCES and name != "unit"]


def conveyors_tagged(plant: Plant, tags: Collection[str]) -> QuerySet[Conveyor]:
    """Those of the plant's conveyors; tags in capitals."""
    rows = Conveyor.objects.filter(plant=plant).annotate(capitals=Upper("tag"))
    return rows.filter(capitals__in=list(tags))


def register_of(plant: Plant, tags: Collection[str], sheets: Collection[str]) -> Register:
    """What stands of the conveyors with these tags, as far as these sheets speak of it."""
    fields = fields_of("conveyors")
    conveyors = {
        values["pk"]: StandingConveyor(_row(values, fields))
        for values in conveyors_tagged(plant, tags).values("pk", *fields)
    }
    if {"components", "readings", "rolls"} & set(sheets):
        _add_components(conveyors)
    if {"belts", "splices", "marks", "readings"} & set(sheets):
        _add_belting(conveyors)
    if "readings" in sheets:
        _add_readings(conveyors)
    if "rolls" in sheets:
        _add_rolls(conveyors)
    all_tags = tuple(Conveyor.objects.filter(plant=plant).values_list("tag", flat=True))
    by_tag = {one.row.values["tag"].upper(): one for one in conveyors.values()}
    return Register((plant.code, plant.name), by_tag, all_tags)


def _row(values: dict[str, Any], fields: list[str]) -> StandingRow:
    return StandingRow(values["pk"], {name: values[name] for name in fields})


def _of_conveyors(code: str, pks: Collection[int], *more: str) -> Iterator[dict[str, Any]]:
    way = _CONVEYOR_OF[code]
    names = {"pk", way, *fields_of(code), *more}
    rows = MODELS[code].objects.filter(**{f"{way}__in": list(pks)}).order_by("pk")
    if code == "rolls":
        # What was taken back counts no more; it is not written into files either.
        rows = rows.filter(undone_at__isnull=True)
    yield from rows.values(*names).iterator(chunk_size=_PIECE)


def _add_components(conveyors: dict[int, StandingConveyor]) -> None:
    fields = fields_of("components")
    for values in _of_conveyors("components", conveyors):
        rows = conveyors[values["conveyor_id"]].components
        rows[values["name"].upper()] = _row(values, fields)


def _add_belting(conveyors: dict[int, StandingConveyor]) -> None:
    fields = fields_of("belts")
    for values in _of_conveyors("belts", conveyors):
        conveyors[values["conveyor_id"]].belts.append(_row(values, fields))
    for code in ("splices", "marks"):
        fields = fields_of(code)
        for values in _of_conveyors(code, conveyors, "belt_id"):
            of_belts = getattr(conveyors[values["belt__conveyor_id"]], code)
            of_belts.setdefault(("belt", values["belt_id"]), []).append(_row(values, fields))


def _add_readings(conveyors: dict[int, StandingConveyor]) -> None:
    fields = fields_of("readings")
    for values in _of_conveyors("readings", conveyors, "belt_id", "component__name"):
        owner: Hashable
        if values["belt_id"]:
            owner = ("belt", ("belt", values["belt_id"]))
        else:
            owner = ("component", values["component__name"].upper())
        readings = conveyors[values["conveyor_id"]].readings
        readings.setdefault(owner, []).append(_row(values, fields))


def _add_rolls(conveyors: dict[int, StandingConveyor]) -> None:
    fields = fields_of("rolls")
    for values in _of_conveyors("rolls", conveyors, "component__name"):
        values |= _set_told(values)
        name = values["component__name"]
        owner: Hashable = ("component", name.upper() if name else None)
        conveyors[values["conveyor_id"]].rolls.setdefault(owner, []).append(_row(values, fields))


def _set_told(values: dict[str, Any]) -> dict[str, Any]:
    """A set that stands goes by its place; one that does not, by what it was called."""
    stands = values["component__name"] is not None and values["set_number"] is not None
    return {"set_name": ""} if stands else {"set_number": None}


def written_rows(plant: Plant, code: str) -> Iterator[dict[str, Any]]:
    """All rows of one sheet of a plant, by conveyor and as they are read, with references."""
    if code == "conveyors":
        for of_conveyor in Conveyor.objects.filter(plant=plant).order_by("tag").values():
            yield {**of_conveyor, "plant": plant.code}
        return
    tags = dict(Conveyor.objects.filter(plant=plant).values_list("pk", "tag"))
    belts = _belt_references(tags) if code in {"splices", "marks", "readings"} else {}
    more: tuple[str, ...] = {"splices": ("belt_id",), "marks": ("belt_id",)}.get(code, ())
    if code == "readings":
        more = ("belt_id", "component__name")
    if code == "rolls":
        more = ("component__name",)
    by_conveyor: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for values in _of_conveyors(code, tags, *more):
        references = belts.get(values.get("belt_id") or 0, {})
        if code == "rolls":
            references = _set_told(values)
        by_conveyor[values[_CONVEYOR_OF[code]]].append({**values, **references})
    for pk, tag in sorted(tags.items(), key=lambda one: one[1]):
        for values in sorted(by_conveyor.pop(pk, []), key=_PLACES[code]):
            yield values | {
                "plant": plant.code,
                "conveyor": tag,
                "component": values.get("component__name"),
                "unit": _unit_of(values) if code == "readings" else None,
            }


def _unit_of(values: dict[str, Any]) -> str:
    return ConditionReading(quantity=values["quantity"]).unit


def _belt_references(tags: Collection[int]) -> dict[int, dict[str, Any]]:
    return {
        values["pk"]: {
            "belt": values["name"],
            "belt_fitted_on": values["fitted_on"],
            "belt_removed_on": values["removed_on"],
        }
        for values in _of_conveyors("belts", tags)
    }


def _by_belt(row: dict[str, Any]) -> tuple[str, ...]:
    told = (row.get("belt_fitted_on"), row.get("belt"), row.get("belt_removed_on"))
    return tuple(str(one or "") for one in told)


# The order in a file does not hang on the order in which rows were once made.
_PLACES: dict[str, Any] = {
    "components": lambda row: (row["first_m"], row["name"]),
    "belts": lambda row: (str(row["fitted_on"] or ""), row["name"], str(row["removed_on"] or "")),
    "splices": lambda row: (*_by_belt(row), row["belt_position_m"], row["name"]),
    "marks": lambda row: (
        *_by_belt(row),
        row["belt_position_m"],
        row["kind"],
        row["side"],
        str(row["seen_on"] or ""),
    ),
    "rolls": lambda row: (
        row["changed_on"],
        row["component__name"] or "",
        row["set_number"] or 0,
        row["set_name"],
        row["roll"],
    ),
    "readings": lambda row: (
        row["taken_at"],
        row["quantity"],
        row["component__name"] or "",
        row["set_number"] or 0,
        row["spot"],
        *_by_belt(row),
    ),
}
