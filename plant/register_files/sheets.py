"""The sheets of a register file, in the order in which they depend on each other."""

from dataclasses import replace
from datetime import date
from enum import StrEnum

from plant.loop.condition import Quantity
from plant.loop.vocabulary import ComponentKind, Run, Side, TakeUpKind
from plant.register_files.columns import Column, Kind, Sheet


def _words(values: type[StrEnum]) -> dict[str, str]:
    """The English words of a choice, which files are written in."""
    return {one.value: one.value.replace("_", " ") for one in values}


def _figure(field: str, header: str, unit: str, *also: str, **more: object) -> Column:
    return Column(field, header, Kind.FIGURE, unit, also, **more)  # type: ignore[arg-type]


_CONVEYOR = Column(
    "conveyor",
    "Conveyor",
    also=("conveyor tag", "tag", "belt conveyor", "equipment"),
    is_key=True,
    is_needed=True,
    example="CV-101",
    says="Its tag.",
)
_PLANT = Column("plant", "Plant", also=("site",), says="May be left out: code or name.")
_NOTE = Column("note", "Note", also=("notes", "remark", "remarks", "comment", "comments"))
_BELT = Column(
    "belt",
    "Belt",
    also=("belt name",),
    says="Its name. Belt, fitted and taken off all empty: the belt that is on now.",
)
_BELT_FITTED = Column("belt_fitted_on", "Belt fitted", Kind.DAY, also=("fitted on",))
_BELT_REMOVED = Column("belt_removed_on", "Belt taken off", Kind.DAY, also=("removed on",))
_BELT_POSITION = _figure(
    "belt_position_m",
    "Belt position",
    "m",
    "position",
    is_needed=True,
    is_key=True,
    example=105,
    says="From the reference splice in the direction of travel.",
)

CONVEYORS = Sheet(
    "conveyors",
    "Conveyors",
    (
        _PLANT,
        replace(_CONVEYOR, field="tag", header="Tag", also=("conveyor", "conveyor tag", "number")),
        Column(
            "name",
            "Name",
            also=("description", "conveyor name"),
            is_needed=True,
            example="Quay conveyor",
        ),
        Column(
            "nicknames",
            "Nicknames",
            Kind.WORDS,
            also=("nickname", "called", "also called"),
            example="the long one, quay belt",
            says="Between commas.",
        ),
        Column("area", "Area", example="Quay"),
        Column("carries", "Carries", also=("material",), example="coal"),
        _figure(
            "centre_distance_m",
            "Centre distance",
            "m",
            "center distance",
            "centres",
            "centers",
            is_needed=True,
            is_key=True,
            example=320,
        ),
        _figure("lift_m", "Lift", "m", "height", example=12.5),
        _figure(
            "speed_mps", "Belt speed", "m/s", "speed", is_needed=True, is_key=True, example=2.5
        ),
        _figure("capacity_tph", "Capacity", "t/h", "throughput", example=1200),
        _figure("trough_angle_deg", "Trough angle", "°", "troughing angle", example=35),
        _figure("return_vee_deg", "Return vee angle", "°", "vee angle", example=0),
        _figure("clearance_mm", "Edge clearance", "mm", "clearance", example=100),
        Column(
            "take_up_kind",
            "Take-up",
            Kind.CHOICE,
            also=("take up type", "takeup", "takeup kind", "take up kind"),
            choices=_words(TakeUpKind),
            example="gravity",
        ),
        _figure("take_up_tension_kn", "Take-up tension", "kN", "takeup tension"),
        Column("is_reversing", "Reversing", Kind.YES_NO, also=("reversible",), example="no"),
        Column("left_words", "Word for left", also=("left",), example="walkway side"),
        Column("right_words", "Word for right", also=("right",), example="sea side"),
        Column(
            "hour_costs",
            "What an hour down costs",
            Kind.DECIMAL,
            also=("hour costs", "cost per hour"),
            places=2,
        ),
        _NOTE,
        Column("retired_on", "Retired", Kind.DAY, also=("out of service",)),
    ),
    {
        "lift_m": 0.0,
        "trough_angle_deg": 35.0,
        "return_vee_deg": 0.0,
        "clearance_mm": 100.0,
        "take_up_kind": TakeUpKind.GRAVITY.value,
        "is_reversing": False,
    },
)
COMPONENTS = Sheet(
    "components",
    "Components",
    (
        _PLANT,
        _CONVEYOR,
        Column(
            "name",
            "Name",
            also=("component", "component name"),
            is_key=True,
            is_needed=True,
            example="C",
            says="Of a numbered group: what stands before each set's number.",
        ),
        Column(
            "kind",
            "Kind",
            Kind.CHOICE,
            also=("type", "component kind", "component type"),
            choices=_words(ComponentKind),
            is_key=True,
            is_needed=True,
            example="troughing idlers",
        ),
        Column(
            "run",
            "Run",
            Kind.CHOICE,
            also=("side of loop", "strand"),
            choices=_words(Run),
            is_needed=True,
            example="carrying",
        ),
        Column(
            "first_m",
            "Loop position",
            Kind.DECIMAL,
            "m",
            also=("position", "first position", "from"),
            is_needed=True,
            example=6,
            says="In the direction of travel, 0 where the belt leaves the tail pulley.",
        ),
        Column(
            "count", "Count", Kind.COUNT, also=("sets", "number of sets", "quantity"), example=60
        ),
        Column("spacing_m", "Spacing", Kind.DECIMAL, "m", also=("pitch",), example=1.2),
        Column(
            "is_numbered",
            "Numbered group",
            Kind.YES_NO,
            also=("numbered",),
            example="yes",
            says="Each set is called by the name and its number: C1, C2.",
        ),
        Column(
            "set_prefix",
            "Name of its sets",
            also=("set prefix", "prefix"),
            says="Of a numbered group whose sets go by another name than its own.",
        ),
        Column(
            "first_number",
            "First number",
            Kind.COUNT,
            also=("number of its first set", "numbered from"),
            says="Of a numbered group; empty: 1.",
        ),
        Column(
            "rolls_per_set",
            "Rolls per set",
            Kind.COUNT,
            also=("rolls", "rolls of a set"),
            says="Of idlers; empty: as many as usual for their kind.",
        ),
        _figure("diameter_mm", "Diameter", "mm", "shell diameter"),
        _figure("wrap_deg", "Wrap", "°", "wrap angle"),
        _figure("in_deg", "Angle in", "°"),
        _figure("out_deg", "Angle out", "°"),
        _figure("length_m", "Length", "m"),
        Column("fitted_on", "Fitted", Kind.DAY, also=("installed", "fitted on date")),
        _NOTE,
    ),
    {"count": 1, "is_numbered": False, "first_number": 1},
)
BELTS = Sheet(
    "belts",
    "Belts",
    (
        _PLANT,
        _CONVEYOR,
        Column("name", "Name", also=("belt", "belt name"), example="Belt of 2024"),
        _figure("width_mm", "Width", "mm", "belt width", is_needed=True, is_key=True, example=1000),
        _figure(
            "length_m", "Length", "m", "belt length", is_needed=True, is_key=True, example=650.4
        ),
        Column(
            "carcass",
            "Carcass",
            Kind.CHOICE,
            choices={"EP": "EP fabric", "ST": "steel cord", "other": "other"},
            example="EP fabric",
        ),
        _figure("strength_n_mm", "Strength", "N/mm", "belt strength", example=1000),
        _figure("modulus_kn_m", "Modulus", "kN/m", "belt modulus"),
        _figure("mass_kg_m2", "Mass", "kg/m²", "belt mass"),
        Column("fitted_on", "Fitted", Kind.DAY, also=("installed",), example=date(2024, 5, 17)),
        Column("removed_on", "Taken off", Kind.DAY, also=("removed",)),
    ),
    {"carcass": "EP"},
)
SPLICES = Sheet(
    "splices",
    "Splices",
    (
        _PLANT,
        _CONVEYOR,
        _BELT,
        _BELT_FITTED,
        _BELT_REMOVED,
        Column(
            "name",
            "Splice",
            also=("name", "splice name"),
            is_key=True,
            is_needed=True,
            example="S1",
        ),
        _BELT_POSITION,
        Column("made_on", "Made", Kind.DAY, also=("vulcanised", "vulcanized")),
        _NOTE,
    ),
)
MARKS = Sheet(
    "marks",
    "Belt marks",
    (
        _PLANT,
        _CONVEYOR,
        _BELT,
        _BELT_FITTED,
        _BELT_REMOVED,
        Column(
            "kind",
            "Mark",
            Kind.CHOICE,
            also=("kind", "type", "kind of mark", "damage"),
            choices={
                "repair": "repair",
                "tear": "tear",
                "edge damage": "edge damage",
                "cover damage": "cover damage",
            },
            is_key=True,
            is_needed=True,
            example="repair",
        ),
        _BELT_POSITION,
        _figure("length_m", "Length", "m", "mark length", example=0.8),
        Column("side", "Side", Kind.CHOICE, choices=_words(Side), example="left"),
        Column("seen_on", "Seen", Kind.DAY, also=("found",)),
        _NOTE,
    ),
)
READINGS = Sheet(
    "readings",
    "Condition readings",
    (
        _PLANT,
        _CONVEYOR,
        Column("component", "Component", also=("component name",), example="Head pulley"),
        Column("set_number", "Set", Kind.COUNT, also=("set number", "idler")),
        _BELT,
        _BELT_FITTED,
        _BELT_REMOVED,
        Column(
            "quantity",
            "Quantity",
            Kind.CHOICE,
            also=("what", "measurement", "reading"),
            choices=_words(Quantity),
            is_key=True,
            is_needed=True,
            example="lagging thickness",
        ),
        Column(
            "value",
            "Value",
            Kind.MEASURED,
            also=("measured", "result"),
            is_key=True,
            is_needed=True,
            example=11.5,
        ),
        Column("unit", "Unit", also=("units",), example="mm"),
        Column(
            "spot", "Spot", also=("place", "where"), example="middle", says="Such as left bearing."
        ),
        Column(
            "taken_at",
            "Taken",
            Kind.MOMENT,
            also=("date", "taken on", "time", "measured on", "measured at"),
            is_key=True,
            is_needed=True,
            example="2026-03-05 10:30",
            says="By the plant's clocks; a day alone counts as its noon.",
        ),
        Column("taken_by", "Taken by", also=("by", "measured by", "inspector"), example="J. Reyes"),
        _NOTE,
    ),
)
SHEETS = (CONVEYORS, COMPONENTS, BELTS, SPLICES, MARKS, READINGS)
BY_CODE = {sheet.code: sheet for sheet in SHEETS}
