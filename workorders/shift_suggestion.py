"""The shift an order's correction asks for, as a form begins with it; pure.

A person confirms or changes it. Directions are those the engine writes
(`diagnostics/inference/correction/`): what they do not settle stays empty.
"""

import re
from collections.abc import Mapping
from typing import Any

from workorders.shift_ways import End, Moved, Way

_SIDE = re.compile(r"\b(left|right)\b")
_OF_THE_WHOLE = {"structure": Moved.STRUCTURE, "material": Moved.CHUTE}


def suggested(correction: Mapping[str, Any] | None) -> dict[str, Any]:
    """Fields of a shift, as far as the correction tells them: stations, moved, end, way, moved_mm.

    Parameters
    ----------
    correction : mapping or None
        An order's correction: `what`, `where`, `move_mm`, `direction`.
    """
    if not correction or correction.get("move_mm") is None:
        return {}
    direction = str(correction.get("direction", ""))
    side = _SIDE.search(direction)
    found: dict[str, Any] = {
        "stations": _stations(str(correction.get("where", ""))),
        "moved_mm": correction["move_mm"],
        "moved": _moved(str(correction.get("what", "")), direction),
    }
    if found["moved"] in _OF_THE_WHOLE.values():
        found["end"] = End.BOTH
        if side:
            found["way"] = Way.TO_RIGHT if side[1] == "right" else Way.TO_LEFT
        return found
    if side:
        found["end"] = End(side[1])
    way = _way(found["moved"], direction)
    if way:
        found["way"] = way
    return found


def _stations(where: str) -> str:
    """`R9 to R12, 117.0 to 126.0 m` names its sets first; `HEAD at 60.0 m on ...` its pulley."""
    return re.split(r", | at ", where, maxsplit=1)[0][:60]


def _moved(what: str, direction: str) -> Moved:
    for word, moved in _OF_THE_WHOLE.items():
        if direction.startswith(word):
            return moved
    if "bearing" in direction:
        return Moved.BEARING
    if "hanger" in what or "return" in what or "tail" in direction:
        return Moved.HANGER
    return Moved.FRAME


def _way(moved: Moved, direction: str) -> Way | None:
    """An end of an idler is advanced in belt travel, whichever run it stands on.

    So is the bearing that goes away from the middle of the conveyor at its ends: there the belt
    comes in that way.
    """
    if re.search(r"\bup\b", direction):
        return Way.UP
    if re.search(r"\bdown\b", direction):
        return Way.DOWN
    if moved is Moved.BEARING:
        return Way.WITH_TRAVEL if "away from" in direction else None
    return Way.WITH_TRAVEL if "toward the" in direction else None
