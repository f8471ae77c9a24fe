"""The sheet of rolls that were changed."""

from datetime import date

from plant.loop.rolls import RollPlace, WhyChanged
from plant.register_files.columns import Column, Kind, Sheet
from plant.register_files.references import CONVEYOR, NOTE, PLANT, words

ROLLS = Sheet(
    "rolls",
    "Roll changes",
    (
        PLANT,
        CONVEYOR,
        Column("component", "Component", also=("component name", "idlers"), example="C"),
        Column(
            "set_number",
            "Set",
            Kind.COUNT,
            also=("set number", "idler"),
            example=12,
            says="Which set of the group, counted in the direction of travel.",
        ),
        Column(
            "set_name",
            "Set taken out",
            also=("name of the set",),
            says="Only of a set that stands no more: what it was called.",
        ),
        Column(
            "roll",
            "Roll",
            Kind.CHOICE,
            also=("which roll", "roll position"),
            choices=words(RollPlace),
            is_key=True,
            is_needed=True,
            example="left wing",
        ),
        Column(
            "changed_on",
            "Changed",
            Kind.DAY,
            also=("changed on", "replaced", "date"),
            is_key=True,
            is_needed=True,
            example=date(2026, 3, 5),
        ),
        Column(
            "why",
            "Why",
            Kind.CHOICE,
            also=("reason", "cause"),
            choices=words(WhyChanged),
            is_needed=True,
            example="noisy bearing",
        ),
        Column("fitted", "New roll", also=("maker", "fitted roll", "part number")),
        Column("changed_by", "Changed by", also=("by", "fitter"), example="J. Reyes"),
        NOTE,
    ),
)
