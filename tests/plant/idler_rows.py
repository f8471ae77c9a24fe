"""Idler rows for tests, and what a reader of the register would see of them."""

from plant.loop.idler_sets import GroupRow
from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind, Run

K = ComponentKind


def group(key: int, prefix: str, first_m: float, count: int, spacing_m: float = 1.2) -> GroupRow:
    """Troughing sets named prefix + 1, 2, ..."""
    part = Part(
        prefix, K.TROUGHING_IDLERS, Run.CARRYING, first_m, spacing_m, count, is_numbered=True
    )
    return GroupRow(key, part)


def places(rows: tuple[GroupRow, ...] | list[GroupRow]) -> dict[str, float]:
    """Where each set stands, by its name, told by the loop's own stations. [m]"""
    return {
        station.name: round(station.position_m, 3)
        for row in rows
        if row.part.is_idler
        for station in row.part.stations()
    }


def shape(rows: tuple[GroupRow, ...]) -> list[tuple[str, float, int]]:
    """Each row as first set's name, place and count."""
    return [
        (row.part.stations()[0].name, round(row.part.first_m, 3), row.part.count) for row in rows
    ]
