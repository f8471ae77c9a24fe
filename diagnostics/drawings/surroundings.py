"""What presses on the belt, the weather, and a belt that is slack, stiff or lifts."""

import math
from collections.abc import Callable

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.drawings import idlers, sheet
from diagnostics.drawings.sheet import Drawing, Ink, Stroke
from plant.loop.vocabulary import Side


def _held_back(tells: str | Promise, travel: int, *about: Stroke) -> Drawing:
    """Something presses on the right-hand side and turns the belt to that side."""
    return sheet.plan(
        tells,
        Side.RIGHT,
        travel,
        *sheet.bars(Ink.STEEL, 60, 140, 290, 370),
        *sheet.edges(lambda x: -sheet.after(210, travel, 15, 110)(x)),
        sheet.line(Ink.FAULT, (210, sheet.MIDDLE + 4), (210, sheet.MIDDLE + 52)),
        *about,
    )


def _skirt() -> Drawing:
    return sheet.plan(
        _(
            "The seal on the right-hand side is pressed down hard and holds the belt back there: "
            "still under the skirts the belt turns to the right."
        ),
        Side.RIGHT,
        1,
        *sheet.bars(Ink.STEEL, 30, 330, 390),
        sheet.line(Ink.STEEL, (90, 62), (270, 62)),
        sheet.line(Ink.STEEL, (90, 112), (180, 112)),
        sheet.line(Ink.FAULT, (180, 112), (270, 116)),
        *sheet.edges(lambda x: -sheet.after(240, 1, 25, 90)(x)),
    )


def _wind() -> Drawing:
    gusts = "".join(f"M{x} 4L{x} 34M{x - 5} 26L{x} 34L{x + 5} 26" for x in (160, 210, 260))
    return sheet.plan(
        _("Wind from the left pushes the empty belt to the right on an open stretch."),
        Side.RIGHT,
        1,
        *sheet.bars(Ink.STEEL, 60, 120, 300, 360),
        *sheet.edges(lambda x: sheet.SHIFT * max(0.0, 1 - ((x - 210) / 130) ** 2)),
        Stroke(Ink.FAULT, gusts),
    )


def _drop(x: float, y: float) -> Stroke:
    return Stroke(
        Ink.FAULT, f"M{x} {y - 9}Q{x + 7} {y + 3} {x} {y + 5}Q{x - 7} {y + 3} {x} {y - 9}"
    )


def _wet() -> Drawing:
    drops = [_drop(x, y) for x, y in ((90, 70), (150, 100), (210, 72), (270, 98), (340, 76))]
    return sheet.plan(
        _(
            "Wet or greasy rolls have lost their grip: the belt slides out of its place, to one "
            "side or the other, and settles when they are dry."
        ),
        None,
        1,
        *sheet.bars(Ink.STEEL, 60, 120, 180, 240, 300, 360),
        *drops,
        *sheet.edges(lambda x: 9 * math.sin(x / 60) * x / 300),
    )


def _ice(x: float, y: float) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    turns = [index * math.pi / 3 for index in range(3)]
    return [
        (
            (round(x - 9 * math.cos(turn), 1), round(y - 9 * math.sin(turn), 1)),
            (round(x + 9 * math.cos(turn), 1), round(y + 9 * math.sin(turn), 1)),
        )
        for turn in turns
    ]


def _frozen() -> Drawing:
    stars = [line for x, y in ((120, 40), (180, 128), (240, 44), (300, 126)) for line in _ice(x, y)]
    return sheet.plan(
        _(
            "Ice sits on rolls and belt and some rolls do not turn: the belt slides where it "
            "likes, mostly at the first start of the day."
        ),
        None,
        1,
        *sheet.bars(Ink.STEEL, 60, 120, 180, 240, 300, 360),
        sheet.marks(Ink.FAULT, *stars),
        *sheet.edges(lambda x: -9 * math.sin(x / 45) * x / 300),
    )


_IDLERS_SEEN = [sheet.ring(Ink.STEEL, x, 100, 12) for x in (60, 160, 260, 360)]


def _slack() -> Drawing:
    sag = "M60 86" + "".join(f"Q{x + 50} 140 {x + 100} 86" for x in (60, 160, 260))
    return sheet.side_view(
        _(
            "The belt sags between its idlers. It has no picture of its own: every other fault "
            "swings a slack belt further than before."
        ),
        *_IDLERS_SEEN,
        Stroke(Ink.CENTRE, "M60 86L360 86"),
        Stroke(Ink.FAULT, sag),
    )


def _stiff() -> Drawing:
    gaps = [((x, 104), (x, 124)) for x in (186, 210, 234)]
    return sheet.section(
        _(
            "Empty, the belt is too stiff to lie down into the trough, and daylight shows above "
            "the centre roll: it wanders without any pattern until it is loaded."
        ),
        None,
        idlers.trough(),
        Stroke(Ink.BELT, "M92 50Q210 146 328 50"),
        sheet.marks(Ink.FAULT, *gaps),
    )


def _lifts() -> Drawing:
    line = [(40.0, 138.0), (110, 134), (180, 124), (250, 104), (310, 76), (370, 40)]
    rollers = [sheet.ring(Ink.STEEL, x, y + 8, 8) for x, y in line]
    gap = [((180, 96), (180, 120)), ((250, 78), (250, 100))]
    return sheet.side_view(
        _(
            "Where the line turns upward the tight belt rises out of the trough, on starting or "
            "when empty, and lies down again beside the middle."
        ),
        *rollers,
        Stroke(Ink.BELT, "M20 138L60 134L340 58L400 22"),
        sheet.marks(Ink.FAULT, *gap),
    )


_BLADE = sheet.marks(Ink.STEEL, ((216, 40), (208, 140)), ((222, 40), (214, 140)))
_PLOUGH = sheet.line(Ink.STEEL, (180, 44), (236, 85), (180, 126))

DRAWN: dict[str, Callable[[], Drawing]] = {
    "cleaner_presses_unevenly": lambda: _held_back(
        _(
            "The blade of the cleaner presses harder on the right-hand side of the belt and holds "
            "it back there: the belt turns to the right."
        ),
        -1,
        _BLADE,
    ),
    "plough_presses_unevenly": lambda: _held_back(
        _(
            "The plough presses on the right-hand side of the returning belt and holds it back "
            "there: the belt turns to the right."
        ),
        -1,
        _PLOUGH,
    ),
    "skirt_seal_drags": _skirt,
    "wind_on_belt": _wind,
    "wet_rolls": _wet,
    "frozen_rolls": _frozen,
    "tension_too_low": _slack,
    "belt_too_stiff": _stiff,
    "belt_lifts_in_curve": _lifts,
}
