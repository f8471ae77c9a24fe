"""What the sheets share: where a row belongs, a note, and how columns of figures are made."""

from enum import StrEnum

from plant.register_files.columns import Column, Kind


def words(values: type[StrEnum]) -> dict[str, str]:
    """The English words of a choice, which files are written in."""
    return {one.value: one.value.replace("_", " ") for one in values}


def figure(field: str, header: str, unit: str, *also: str, **more: object) -> Column:
    return Column(field, header, Kind.FIGURE, unit, also, **more)  # type: ignore[arg-type]


CONVEYOR = Column(
    "conveyor",
    "Conveyor",
    also=("conveyor tag", "tag", "belt conveyor", "equipment"),
    is_key=True,
    is_needed=True,
    example="CV-101",
    says="Its tag.",
)
PLANT = Column("plant", "Plant", also=("site",), says="May be left out: code or name.")
NOTE = Column("note", "Note", also=("notes", "remark", "remarks", "comment", "comments"))
