"""The steel that holds the idlers: bowed, leaning, racked, struck or off the line."""

from collections.abc import Callable

from django.utils.translation import gettext_lazy as _

from diagnostics.drawings import idlers, sheet
from diagnostics.drawings.sheet import Drawing, Ink, Stroke
from plant.loop.vocabulary import Side

_TOP, _FOOT = 36.0, 134.0


def _bowed() -> Drawing:
    rails = [
        Stroke(
            Ink.FAULT,
            f"M20 {sheet.MIDDLE + side * 40:g}Q210 {sheet.MIDDLE + side * 40 + 44:g} "
            f"400 {sheet.MIDDLE + side * 40:g}",
        )
        for side in (-1, 1)
    ]
    return sheet.plan(
        _(
            "The structure bows to the right; the tight belt cuts the corner, so on the structure "
            "it stands to the left, on the inside of the bow."
        ),
        Side.LEFT,
        1,
        *rails,
        *sheet.edges(lambda x: 10 * (1 - ((x - 210) / 190) ** 2)),
    )


def _out_of_level() -> Drawing:
    return sheet.section(
        _(
            "Every stand of the stretch is lower on the left: the belt sits a little to the left, "
            "toward the low side, loaded and empty."
        ),
        Side.LEFT,
        sheet.line(Ink.FAULT, (60, 138), (360, 114)),
        sheet.marks(Ink.STEEL, ((80, 136), (80, 160)), ((340, 116), (340, 160))),
        sheet.marks(
            Ink.STEEL, ((92, 74), (156, 124)), ((164, 128), (262, 120)), ((270, 114), (322, 52))
        ),
        sheet.line(Ink.BELT, (62, 40), (154, 112), (254, 104), (288, 66)),
    )


def _racked() -> Drawing:
    rails = sheet.marks(
        Ink.STEEL, ((20, _TOP), (400, _TOP)), ((20, _FOOT), (400, _FOOT)), ((150, 36), (318, 134))
    )
    return sheet.plan(
        _(
            "In one bay the right stringer has crept toward the head. Right-hand ends of its "
            "frames stand ahead: here the belt goes left, the returning belt below the other way."
        ),
        Side.LEFT,
        1,
        rails,
        *sheet.bars(Ink.STEEL, 60, 105, 370),
        *[sheet.bar(Ink.FAULT, x, sheet.LEAD) for x in (165, 210, 255, 300)],
        *sheet.edges(sheet.after(285, 1, 60, 90)),
    )


def _struck() -> Drawing:
    return sheet.plan(
        _(
            "A blow has bent the right-hand stringer and pushed its frame toward the head there: "
            "the belt touches the left end of that frame first and steps to the left."
        ),
        Side.LEFT,
        1,
        sheet.line(Ink.STEEL, (20, _TOP), (400, _TOP)),
        sheet.marks(Ink.STEEL, ((20, _FOOT), (180, _FOOT)), ((244, _FOOT), (400, _FOOT))),
        sheet.line(Ink.FAULT, (180, _FOOT), (204, 118), (222, 120), (244, _FOOT)),
        *sheet.bars(Ink.STEEL, 60, 130, 300, 370),
        sheet.bar(Ink.STEEL, 212, sheet.LEAD, 36),
        *sheet.edges(sheet.after(218, 1, 8, 110)),
    )


def _off_centre() -> Drawing:
    return sheet.section(
        _(
            "The trough is bolted down to the left of the conveyor's middle: the belt lies true in "
            "it and yet stands to the left by the same amount along the whole group."
        ),
        Side.LEFT,
        sheet.marks(Ink.STEEL, ((60, 140), (360, 140)), ((80, 140), (80, 160))),
        sheet.line(Ink.STEEL, (340, 140), (340, 160)),
        idlers.trough(Ink.FAULT, -26),
        sheet.line(Ink.BELT, (54, 48), (126, 116), (242, 116), (314, 48)),
    )


def _travelling_frame() -> Drawing:
    wheels = [sheet.ring(Ink.STEEL, x, y, 5) for x, y in ((128, 26), (276, 26), (152, 144))]
    return sheet.plan(
        _(
            "The moving frame stands askew on its rails, its right side ahead. All its rolls are "
            "turned with it, and the belt goes left in it."
        ),
        Side.LEFT,
        1,
        sheet.marks(Ink.STEEL, ((10, 26), (410, 26)), ((10, 144), (410, 144))),
        sheet.shape(Ink.FAULT, (120, 30), (280, 30), (302, 140), (142, 140)),
        *wheels,
        sheet.ring(Ink.STEEL, 298, 144, 5),
        *sheet.bars(Ink.STEEL, 50, 360),
        *[sheet.bar(Ink.STEEL, x, sheet.LEAD) for x in (170, 211, 252)],
        *sheet.edges(sheet.after(250, 1, 50, 70)),
    )


def _return_struck() -> Drawing:
    heap = ((222, 160), (258, 112), (286, 90), (312, 84), (344, 96), (384, 160))
    return sheet.section(
        _(
            "A heap of spillage has lifted the return roll on the right; a bent hanger does the "
            "same. The belt goes left, to the low end."
        ),
        Side.LEFT,
        sheet.marks(
            Ink.STEEL, ((50, 16), (370, 16)), ((70, 16), (70, 104)), ((350, 16), (356, 44))
        ),
        sheet.line(Ink.STEEL, (356, 44), (344, 76)),
        sheet.line(Ink.STEEL, (70, 104), (344, 76)),
        sheet.shape(Ink.FAULT, *heap),
        sheet.line(Ink.BELT, (92, 93), (284, 73)),
    )


DRAWN: dict[str, Callable[[], Drawing]] = {
    "structure_bowed": _bowed,
    "structure_out_of_level": _out_of_level,
    "structure_racked": _racked,
    "structure_damaged": _struck,
    "stands_off_centre": _off_centre,
    "travelling_frame_twisted": _travelling_frame,
    "return_structure_damaged": _return_struck,
}
