"""How material comes onto the belt."""

import math
from collections.abc import Callable

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.drawings import idlers, sheet
from diagnostics.drawings.sheet import Drawing, Ink, Stroke
from plant.loop.vocabulary import Side

_HEAP = "M176 112Q236 10 290 86"


def _loaded_right(tells: str | Promise, heap: Ink, *strokes: Stroke) -> Drawing:
    return sheet.section(
        tells,
        Side.LEFT,
        idlers.trough(),
        sheet.line(Ink.BELT, (70, 36), (150, 114), (262, 114), (302, 74)),
        Stroke(heap, _HEAP),
        sheet.marks(Ink.ARROW, ((190, 148), (130, 148)), ((142, 142), (130, 148), (142, 154))),
        *strokes,
    )


def _off_centre() -> Drawing:
    return _loaded_right(
        _(
            "The heap lies to the right of the middle: the belt is pushed to the lightly loaded "
            "edge and goes left."
        ),
        Ink.FAULT,
    )


def _stream(*points: tuple[float, float]) -> Stroke:
    (x, y) = points[-1]
    return sheet.marks(Ink.LOAD, points, ((x - 9, y - 4), (x, y), (x + 1, y - 10)))


def _build_up() -> Drawing:
    crust = ((168, 4), (184, 10), (196, 22), (192, 34), (202, 46), (184, 50))
    return _loaded_right(
        _(
            "Material has grown onto the left wall of the chute and turns the stream to the right: "
            "the heap lies right, and the belt goes left."
        ),
        Ink.LOAD,
        sheet.marks(Ink.STEEL, ((166, 2), (180, 52)), ((256, 2), (244, 52))),
        sheet.shape(Ink.FAULT, *crust),
        _stream((206, 4), (216, 28), (240, 52)),
    )


def _liner_worn() -> Drawing:
    return _loaded_right(
        _(
            "The plate that should turn the stream into the middle is worn through or hangs loose "
            "on the right: the heap lies right, and the belt goes left."
        ),
        Ink.LOAD,
        sheet.marks(Ink.STEEL, ((166, 2), (180, 52)), ((264, 2), (262, 14))),
        sheet.marks(Ink.FAULT, ((262, 14), (284, 50)), ((256, 44), (250, 54))),
        _stream((196, 2), (226, 22), (262, 52)),
    )


def _cross_flow() -> Drawing:
    def shift(x: float) -> float:
        pushed = sheet.SHIFT * math.exp(-(((x - 110) / 70) ** 2))
        return pushed - 11 / (1 + math.exp(-(x - 270) / 25))

    return sheet.plan(
        _(
            "The stream arrives from the left and carries on to the right: inside the skirts the "
            "belt is pushed to the right; further on the heavy side drives it the other way."
        ),
        Side.RIGHT,
        1,
        sheet.marks(Ink.STEEL, ((50, 50), (190, 50)), ((50, 128), (190, 128))),
        *sheet.bars(Ink.STEEL, 230, 290, 350),
        sheet.marks(Ink.FAULT, ((96, 8), (112, 96)), ((101, 84), (112, 96), (119, 81))),
        Stroke(Ink.LOAD, "M96 120Q120 96 176 118"),
        *sheet.edges(shift),
    )


def _uneven_feed() -> Drawing:
    heaps = [
        Stroke(Ink.FAULT, f"M{x} {y}Q{x + 22} {y - 22} {x + 44} {y}")
        for x, y in ((60, 102), (160, 74), (262, 104), (340, 76))
    ]
    return sheet.plan(
        _(
            "The material lies now to the right, now to the left, as the feed brings it, and the "
            "belt follows to one side and the other, without a rhythm of its own."
        ),
        None,
        1,
        *sheet.bars(Ink.STEEL, 40, 130, 230, 320, 390),
        *heaps,
        *sheet.edges(lambda x: -10 * math.sin((x - 34) / 31)),
    )


DRAWN: dict[str, Callable[[], Drawing]] = {
    "off_centre_loading": _off_centre,
    "chute_build_up": _build_up,
    "chute_liner_worn": _liner_worn,
    "cross_flow_at_transfer": _cross_flow,
    "uneven_feed": _uneven_feed,
}
