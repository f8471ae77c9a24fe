"""The columns of the catalogue as a file; what is reckoned is written and not read."""

from plant.register_files.columns import Column, Kind, Sheet
from workorders.models import Part

# What a file may say of a part; the number says which part.
READ = ("name", "kind", "unit", "on_hand", "known_as", "kept_at", "note")

SHEET = Sheet(
    "parts",
    "Parts",
    (
        Column("plant", "Plant"),
        Column("number", "Part number", is_key=True),
        Column("name", "Name"),
        Column(
            "kind", "Kind", Kind.CHOICE, choices={one.value: str(one.label) for one in Part.Kind}
        ),
        Column(
            "unit", "Counted in", Kind.CHOICE, choices={one.value: one.value for one in Part.Unit}
        ),
        Column("on_hand", "On hand", Kind.DECIMAL, places=2),
        Column("reserved", "Reserved", Kind.DECIMAL, places=2),
        Column("free", "Free", Kind.DECIMAL, places=2),
        Column("due", "Due", Kind.DECIMAL, places=2),
        Column("next_due_on", "Next due on", Kind.DAY),
        Column("short", "Short", Kind.DECIMAL, places=2),
        Column("known_as", "Also written as", Kind.WORDS),
        Column("kept_at", "Kept at"),
        Column("note", "Note"),
        Column("retired_on", "Retired", Kind.DAY),
    ),
)
