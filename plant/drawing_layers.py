"""What the rooms lay over the drawing of a conveyor's loop, each what it knows.

Each source asks the database a fixed number of questions, however much there is to draw.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest

from plant.loop.drawing.shapes import Mark, RibbonPoint
from plant.models import Conveyor


@dataclass(frozen=True)
class Layer:
    """`says` tells in words what the ribbon is and of when."""

    marks: tuple[Mark, ...] = ()
    ribbon: tuple[RibbonPoint, ...] = ()
    says: str = ""


NO_LAYER = Layer()
Source = Callable[[HttpRequest, Conveyor, datetime], Layer]

_sources: dict[str, Source] = {}


def register(name: str, source: Source) -> None:
    """Called from an app's `AppConfig.ready`."""
    _sources[name] = source


def layers_of(request: HttpRequest, conveyor: Conveyor, now: datetime) -> Layer:
    """All layers as one; of several ribbons the first that there is."""
    found = [source(request, conveyor, now) for _name, source in sorted(_sources.items())]
    return together(found)


def together(layers: Iterable[Layer]) -> Layer:
    found = list(layers)
    with_ribbon = next((one for one in found if one.ribbon), NO_LAYER)
    marks = tuple(mark for one in found for mark in one.marks)
    return Layer(marks, with_ribbon.ribbon, with_ribbon.says)
