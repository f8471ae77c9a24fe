"""The sheets of a register file, in the order in which they depend on each other."""

from dataclasses import replace
from datetime import date

from plant.loop.condition import Quantity
from plant.loop.vocabulary import ComponentKind, Consequence, Run, Side, TakeUpKind
from plant.register_files.columns import Column, Kind, Sheet
from plant.register_files.references import CONVEYOR, NOTE, PLANT, figure, words
from plant.register_files.roll_sheet import ROLLS

_BELT = Column(
    "belt",
    "Belt",
    also=("belt name",),
    says="Its name. Belt, fitted and taken off all empty: the belt that is on now.",
)
_BELT_FITTED = Column("belt_fitted_on", "Belt fitted", Kind.DAY, also=("fitted on",))
_BELT_REMOVED = Column("belt_removed_on", "Belt taken off", Kind.DAY, also=("removed on",))
_BELT_POSITION = figure(
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
        PLANT,
        replace(CONVEYOR, field="tag", header="Tag", also=("conveyor", "conveyor tag", "number")),
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
        figure(
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
        figure("lift_m", "Lift", "m", "height", example=12.5),
        figure("speed_mps", "Belt speed", "m/s", "speed", is_needed=True, is_key=True, example=2.5),
        figure("capacity_tph", "Capacity", "t/h", "throughput", example=1200),
        figure("trough_angle_deg", "Trough angle", "°", "troughing angle", example=35),
        figure("return_vee_deg", "Return vee angle", "°", "vee angle", example=0),
        figure("clearance_mm", "Edge clearance", "mm", "clearance", example=100),
        Column(
            "take_up_kind",
            "Take-up",
            Kind.CHOICE,
            also=("take up type", "takeup", "takeup kind", "take up kind"),
            choices=words(TakeUpKind),
            example="gravity",
        ),
        figure("take_up_tension_kn", "Take-up tension", "kN", "takeup tension"),
        Column("is_reversing", "Reversing", Kind.YES_NO, also=("reversible",), example="no"),
        Column("left_words", "Word for left", also=("left",), example="walkway side"),
        Column("right_words", "Word for right", also=("right",), example="sea side"),
        Column(
            "isolation_points",
            "Isolation points",
            Kind.LINES,
            also=("isolation", "isolation point", "lock points", "lockout points"),
            example="MCC-4 drive isolator Q30-M1, lock 1",
            says="One to a line of the cell, in the order in which they are locked.",
        ),
        Column(
            "consequence",
            "When it stands",
            Kind.CHOICE,
            also=("consequence", "criticality"),
            choices=words(Consequence),
            example="whole line",
            says="What stands still with the conveyor.",
        ),
        Column(
            "hour_costs",
            "What an hour down costs",
            Kind.DECIMAL,
            also=("hour costs", "cost per hour"),
            places=2,
        ),
        NOTE,
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
        PLANT,
        CONVEYOR,
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
            choices=words(ComponentKind),
            is_key=True,
            is_needed=True,
            example="troughing idlers",
        ),
        Column(
            "run",
            "Run",
            Kind.CHOICE,
            also=("side of loop", "strand"),
            choices=words(Run),
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
        figure("diameter_mm", "Diameter", "mm", "shell diameter"),
        figure("wrap_deg", "Wrap", "°", "wrap angle"),
        figure("in_deg", "Angle in", "°"),
        figure("out_deg", "Angle out", "°"),
        figure("length_m", "Length", "m"),
        Column("fitted_on", "Fitted", Kind.DAY, also=("installed", "fitted on date")),
        NOTE,
    ),
    {"count": 1, "is_numbered": False, "first_number": 1},
)
BELTS = Sheet(
    "belts",
    "Belts",
    (
        PLANT,
        CONVEYOR,
        Column("name", "Name", also=("belt", "belt name"), example="Belt of 2024"),
        figure("width_mm", "Width", "mm", "belt width", is_needed=True, is_key=True, example=1000),
        figure(
            "length_m", "Length", "m", "belt length", is_needed=True, is_key=True, example=650.4
        ),
        Column(
            "carcass",
            "Carcass",
            Kind.CHOICE,
            choices={"EP": "EP fabric", "ST": "steel cord", "other": "other"},
            example="EP fabric",
        ),
        figure("strength_n_mm", "Strength", "N/mm", "belt strength", example=1000),
        figure("modulus_kn_m", "Modulus", "kN/m", "belt modulus"),
        figure("mass_kg_m2", "Mass", "kg/m²", "belt mass"),
        Column("fitted_on", "Fitted", Kind.DAY, also=("installed",), example=date(2024, 5, 17)),
        Column("removed_on", "Taken off", Kind.DAY, also=("removed",)),
    ),
    {"carcass": "EP"},
)
SPLICES = Sheet(
    "splices",
    "Splices",
    (
        PLANT,
        CONVEYOR,
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
        NOTE,
    ),
)
MARKS = Sheet(
    "marks",
    "Belt marks",
    (
        PLANT,
        CONVEYOR,
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
        figure("length_m", "Length", "m", "mark length", example=0.8),
        Column("side", "Side", Kind.CHOICE, choices=words(Side), example="left"),
        Column("seen_on", "Seen", Kind.DAY, also=("found",)),
        NOTE,
    ),
)
READINGS = Sheet(
    "readings",
    "Condition readings",
    (
        PLANT,
        CONVEYOR,
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
            choices=words(Quantity),
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
        NOTE,
    ),
)
SHEETS = (CONVEYORS, COMPONENTS, BELTS, SPLICES, MARKS, READINGS, ROLLS)
BY_CODE = {sheet.code: sheet for sheet in SHEETS}
