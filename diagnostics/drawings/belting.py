"""The belt itself: joints, damage, bow and pieces; what is drawn moves with the belt."""

from collections.abc import Callable

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.drawings import sheet
from diagnostics.drawings.sheet import Drawing, Ink, Stroke
from plant.loop.vocabulary import Side

_GOES_BY = _("Seen from above, as the place goes by")


def _passing(tells: str | Promise, half_m: float, *wrong: Stroke) -> Drawing:
    """To the left where the place goes by, and back behind it."""
    return sheet.plan(
        tells,
        Side.LEFT,
        1,
        *sheet.bars(Ink.STEEL, 60, 120, 300, 360),
        *sheet.edges(lambda x: -sheet.SHIFT * max(0.0, 1 - abs(x - 210) / half_m)),
        *wrong,
        view=_GOES_BY,
    )


def _camber() -> Drawing:
    def bow(x: float) -> float:
        return -sheet.SHIFT * max(0.0, 1 - ((x - 210) / 180) ** 2)

    middle = [(float(x), sheet.MIDDLE + bow(x)) for x in range(40, 381, 20)]
    return sheet.plan(
        _(
            "A long piece of the belt is bowed: as it goes by, the belt swings slowly to the left "
            "and back again, to the same side at every station."
        ),
        Side.LEFT,
        1,
        *sheet.bars(Ink.STEEL, 60, 120, 300, 360),
        *sheet.edges(bow),
        sheet.line(Ink.FAULT, *middle),
        view=_GOES_BY,
    )


def _worn_edge() -> Drawing:
    right = sheet.line(Ink.BELT, *[(x, 117) for x in (20, 120, 140, 280, 300, 400)])
    left = sheet.line(Ink.BELT, (20, 53), (120, 53), (140, 68), (280, 68), (300, 53), (400, 53))
    frayed = [(132 + 8.0 * index, 62 + 8.0 * (index % 2)) for index in range(20)]
    return sheet.plan(
        _(
            "The left edge is rubbed away over a length: there the belt looks off to the right, "
            "and being softer on one side it really swings once a turn."
        ),
        Side.RIGHT,
        1,
        *sheet.bars(Ink.STEEL, 60, 120, 300, 360),
        left,
        right,
        sheet.line(Ink.FAULT, *frayed),
        view=_GOES_BY,
    )


def _mixed() -> Drawing:
    def piece(x: float) -> float:
        return -14 * min(1.0, max(0.0, (x - 90) / 40)) * min(1.0, max(0.0, (330 - x) / 40))

    hatch = [((x, 92), (x + 22, 52)) for x in range(140, 280, 22)]
    return sheet.plan(
        _(
            "Between two joints lies a piece of another belt: for its whole length the belt runs "
            "further to the left, and goes back at its end."
        ),
        Side.LEFT,
        1,
        *sheet.bars(Ink.STEEL, 60, 360),
        *sheet.edges(piece),
        sheet.marks(Ink.FAULT, ((110, 46), (110, 110)), ((310, 46), (310, 110))),
        sheet.marks(Ink.LOAD, *hatch),
        view=_GOES_BY,
    )


DRAWN: dict[str, Callable[[], Drawing]] = {
    "crooked_splice": lambda: _passing(
        _(
            "The joint is not square, so that the belt is turned at it: where it goes by, at every "
            "station, the belt stands to the left, and it comes back behind it."
        ),
        150,
        sheet.line(Ink.FAULT, (202, 30), (220, 105)),
    ),
    "splice_opening_one_edge": lambda: _passing(
        _(
            "The joint has opened at the left edge, and the pull goes through the other one: as it "
            "goes by the belt swings to the left, worse by the day."
        ),
        150,
        sheet.line(Ink.STEEL, (210, 58), (210, 99)),
        sheet.line(Ink.FAULT, (201, 34), (210, 60), (219, 34)),
    ),
    "one_sided_belt_damage": lambda: _passing(
        _(
            "Patches and cuts are crowded to one edge, away from any joint: as the place goes by "
            "the belt stands to one side, here to the left."
        ),
        120,
        sheet.line(
            Ink.FAULT, (180, 50), (188, 60), (198, 46), (208, 60), (220, 46), (232, 58), (240, 48)
        ),
        sheet.shape(Ink.STEEL, (188, 64), (206, 64), (206, 78), (188, 78)),
        sheet.shape(Ink.STEEL, (214, 64), (232, 64), (232, 78), (214, 78)),
    ),
    "belt_camber": _camber,
    "belt_tear_across": lambda: _passing(
        _(
            "A cut from the left edge lets the other edge carry the pull: as it goes by the belt "
            "swings to the left, suddenly since a certain hour."
        ),
        150,
        sheet.line(Ink.FAULT, (214, 34), (208, 48), (216, 58), (209, 72)),
    ),
    "worn_belt_edge": _worn_edge,
    "mixed_belt_sections": _mixed,
}
