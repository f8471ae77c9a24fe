"""The take-up: pulley, carriage, guides, ropes and weight."""

from collections.abc import Callable

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.drawings import pulleys, sheet
from diagnostics.drawings.pulleys import TAKE_UP
from diagnostics.drawings.sheet import Drawing, Ink, Stroke
from plant.loop.vocabulary import Side

# Its end held back against the pull, which is to the left of the sheet.
_HELD_TOP, _HELD_FOOT = TAKE_UP.x + sheet.LEAD, TAKE_UP.x - sheet.LEAD
_BARE = pulleys.BEND


def _ropes() -> Drawing:
    ropes = sheet.marks(
        Ink.STEEL,
        ((_HELD_TOP, 35), (120, 20), (20, 20)),
        ((_HELD_FOOT, 135), (120, 148), (20, 148)),
    )
    return pulleys.turned(
        _(
            "The rope on the left is longer, so that this end of the trolley is held back and the "
            "right-hand end of its pulley is drawn further along: the belt goes left."
        ),
        _BARE,
        ropes,
        sheet.ring(Ink.STEEL, 120, 20, 6),
        sheet.ring(Ink.STEEL, 120, 148, 6),
    )


def _in_guides(tells: str | Promise, guides: list[Stroke]) -> Drawing:
    """The carriage askew, its left-hand end held back in the guide."""
    frame = ((150, 40), (_HELD_TOP + 76, 40), (_HELD_FOOT + 76, 130), (134, 130))
    return sheet.plan(
        tells,
        Side.LEFT,
        -1,
        *_BARE.belt(),
        sheet.bar(Ink.STEEL, TAKE_UP.x, -sheet.LEAD, sheet.HALF_ROLL),
        sheet.shape(Ink.STEEL, *frame),
        *guides,
    )


def _binding() -> Drawing:
    ticks = [((x, 22), (x + 8, 34)) for x in (266, 276, 286)]
    return _in_guides(
        _(
            "The carriage hangs in its left-hand guide and jumps on starting and stopping: the end "
            "that hangs is held back, and the belt goes left."
        ),
        [
            sheet.marks(Ink.STEEL, ((100, 28), (340, 28)), ((100, 142), (340, 142))),
            sheet.marks(Ink.FAULT, *ticks),
        ],
    )


def _guides_bent() -> Drawing:
    return _in_guides(
        _(
            "The left-hand guide is dented: while the carriage stands there, that end is held back "
            "and the belt goes left; in another part of its travel it runs true."
        ),
        [
            sheet.line(Ink.STEEL, (100, 142), (340, 142)),
            sheet.line(Ink.FAULT, (100, 26), (240, 26), (264, 36), (282, 36), (300, 26), (340, 26)),
        ],
    )


def _counterweight() -> Drawing:
    heap = ((128, 132), (150, 112), (176, 108), (200, 126), (206, 138), (132, 144))
    return sheet.section(
        _(
            "Material lies on the left of the weight box, which draws that end of the take-up "
            "pulley down. The belt touches the higher end first and stands to the right."
        ),
        Side.RIGHT,
        sheet.marks(Ink.STEEL, ((96, 10), (96, 160)), ((324, 10), (324, 160))),
        sheet.marks(Ink.STEEL, ((104, 92), (316, 76)), ((128, 90), (124, 120))),
        sheet.line(Ink.STEEL, (292, 78), (292, 110)),
        sheet.shape(Ink.STEEL, (120, 120), (300, 106), (302, 144), (124, 156)),
        sheet.shape(Ink.FAULT, *heap),
        sheet.line(Ink.BELT, (150, 10), (150, 88), (306, 76), (306, 10)),
    )


DRAWN: dict[str, Callable[[], Drawing]] = {
    "take_up_carriage_skewed": lambda: pulleys.turned(
        _(
            "The carriage stands askew and the right-hand end of the take-up pulley further along: "
            "the belt touches the left end first and goes left."
        ),
        TAKE_UP,
    ),
    "take_up_ropes_uneven": _ropes,
    "take_up_pulley_build_up": lambda: pulleys.thick(
        _(
            "A crust has grown onto the left-hand end of the take-up pulley from spillage in the "
            "loop: the belt goes left, to the thick end."
        ),
        TAKE_UP,
        pulleys.crust(TAKE_UP.x),
    ),
    "take_up_pulley_worn_one_side": lambda: pulleys.thick(
        _(
            "The take-up pulley is worn thinner on the right: the belt goes left, to the end that "
            "has kept its thickness."
        ),
        TAKE_UP,
        pulleys.scores(TAKE_UP.x),
    ),
    "take_up_pulley_bearing_failing": lambda: pulleys.giving_way(
        _(
            "The left-hand bearing of the take-up pulley gives way, the carriage cocks and that "
            "end is held back: the belt goes left, slowly worse."
        ),
        TAKE_UP,
    ),
    "take_up_carriage_binding": _binding,
    "take_up_guides_bent": _guides_bent,
    "counterweight_off_centre": _counterweight,
}
