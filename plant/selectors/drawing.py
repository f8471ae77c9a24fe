"""The drawing of a conveyor's loop for any page, with what the page knows laid over it."""

from collections.abc import Callable, Sequence
from typing import Any

from plant.loop.parts import GeometryError
from plant.loop.path import Loop
from plant.loop.shapes import Mark, RibbonPoint
from plant.models import Conveyor
from plant.selectors.loops import loop_of

__all__ = ["Mark", "RibbonPoint", "loop_drawing"]


def loop_drawing(
    conveyor: Conveyor,
    ribbon: Sequence[RibbonPoint] = (),
    marks: Sequence[Mark] = (),
    *,
    loop: Loop | None = None,
    part_href: Callable[[str], str] | None = None,
) -> dict[str, Any]:
    """What `plant/parts/loop.html` needs, as `drawing`; `missing` says why nothing can be drawn."""
    try:
        loop = loop or loop_of(conveyor)
    except GeometryError as refusal:
        return {"conveyor": conveyor, "views": (), "missing": str(refusal)}
    return {"conveyor": conveyor, "views": (), "missing": ""}
