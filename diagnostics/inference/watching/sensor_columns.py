"""What the header of a sensor file says: which column is what, in which unit."""

import re
from dataclasses import dataclass

MM_PER_INCH = 25.4  # exact, by definition

ACCEPTED = (
    "one row of names first, such as time [s], offset [mm]; then one row a sample. Time is in "
    "seconds or an ISO date and time; the offset is in mm, cm, m or in, plus to the right; a third "
    "column splice may mark passes of the reference splice with 1"
)

_TIMES = {"time", "t", "timestamp", "datetime", "date time", "seconds", "elapsed", "elapsed time"}
_OFFSETS = {
    "offset",
    "y",
    "deviation",
    "displacement",
    "position",
    "belt offset",
    "belt position",
    "belt edge",
    "edge",
    "mistracking",
    "value",
}
_SPLICES = {"splice", "splice pass", "splice passes", "pass", "mark", "marker", "trigger"}
_SECONDS = {"s": 1.0, "sec": 1.0, "second": 1.0, "seconds": 1.0, "ms": 0.001, "min": 60.0}
_MILLIMETRES = {
    "mm": 1.0,
    "millimetre": 1.0,
    "millimetres": 1.0,
    "millimeter": 1.0,
    "millimeters": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
}
_UNIT = re.compile(r"^(?P<name>.*?)\s*[\[(]\s*(?P<unit>[^\])]*?)\s*[\])]$")


class SensorFileError(ValueError):
    """A sensor file that is not read; the text names row, column and accepted form."""


@dataclass(frozen=True)
class Columns:
    """Which column holds what, from 0; seconds and millimetres to one of its units.

    `splice` is None in a file without marks.
    """

    time: int
    offset: int
    splice: int | None
    s_per_unit: float
    mm_per_unit: float


def columns_of(names: list[str]) -> Columns:
    """Read the header.

    Raises
    ------
    SensorFileError
        No column of that name, two of them, or a unit that is not known.
    """
    found = [_named(name) for name in names]
    time = _one(found, _TIMES, "time", names)
    offset = _one(found, _OFFSETS, "offset", names)
    splices = [number for number, (name, _unit) in enumerate(found) if name in _SPLICES]
    return Columns(
        time,
        offset,
        splices[0] if splices else None,
        _unit(found[time][1], _SECONDS, "s", names[time]),
        _unit(found[offset][1], _MILLIMETRES, "mm", names[offset]),
    )


def _named(cell: str) -> tuple[str, str]:
    """Name and unit of a cell: `offset (mm)`, `time [s]`, `offset_mm`, `offset cm`."""
    words = " ".join(cell.strip().strip("\"'").replace("_", " ").casefold().split())
    bracket = _UNIT.match(words)
    if bracket:
        return bracket["name"].strip(), bracket["unit"]
    name, _space, last = words.rpartition(" ")
    if name and (last in _SECONDS or last in _MILLIMETRES):
        return name, last
    return words, ""


def _one(found: list[tuple[str, str]], known: set[str], what: str, names: list[str]) -> int:
    there = [number for number, (name, _unit) in enumerate(found) if name in known]
    if len(there) == 1:
        return there[0]
    said = ", ".join(name.strip()[:30] for name in names[:8])
    if there:
        raise SensorFileError(f"row 1: several columns could be the {what}: {said}. Leave one.")
    raise SensorFileError(
        f"row 1: no column is called {what}; it has: {said}. Accepted: {ACCEPTED}."
    )


def _unit(unit: str, known: dict[str, float], usual: str, cell: str) -> float:
    if (unit or usual) not in known:
        raise SensorFileError(
            f"row 1, column {cell.strip()[:30]}: the unit {unit!r} is not known; "
            f"accepted: {', '.join(known)}."
        )
    return known[unit or usual]
