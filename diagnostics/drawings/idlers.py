"""Idlers of both runs: turned, sunk, stuck, worn or caked rolls."""

from collections.abc import Callable

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.drawings import sheet
from diagnostics.drawings.sheet import Drawing, Ink, Stroke
from plant.loop.vocabulary import Side

_PLACE = 255.0
# A trough brings the belt back soon; flat return rolls do not bring it back at all.
_BACK_SOON, _BACK_LATE = 90.0, 600.0
_OTHERS = (60, 120, 180, 330, 390)
# Where the centre roll of a trough ends, seen from above.
_WING = 18.0


def turned(tells: str | Promise, travel: int, *places: float) -> Drawing:
    """Rolls whose right-hand ends stand ahead, so that the belt goes left."""
    fall = _BACK_SOON if travel > 0 else _BACK_LATE
    standing = [x for x in _OTHERS if x not in places]
    ahead = [sheet.bar(Ink.FAULT, x, sheet.LEAD * travel) for x in places]
    # Each of a row adds its share: the rise is as long as the row.
    rise = 0.36 * (max(places) - min(places))
    last = max(places) - 25 if travel > 0 else min(places) + 25
    edges = sheet.edges(sheet.after(last, travel, rise, fall))
    return sheet.plan(tells, Side.LEFT, travel, *sheet.bars(Ink.STEEL, *standing), *ahead, *edges)


def _stuck(tells: str | Promise, travel: int) -> Drawing:
    fall = _BACK_SOON if travel > 0 else _BACK_LATE
    return sheet.plan(
        tells,
        Side.LEFT,
        travel,
        *sheet.bars(Ink.STEEL, 60, 120, 330, 390),
        *sheet.edges(sheet.after(225, travel, 18, fall)),
        sheet.bar(Ink.FAULT, 225, sheet.LEAD * travel),
        sheet.ring(Ink.STEEL, 225, sheet.MIDDLE, 7),
    )


def _worsening(tells: str | Promise, travel: int, *, runs_backwards: bool = False) -> Drawing:
    """A swinging set whose arms lie behind it: a small offset grows there."""
    arms = [
        ((225 + side * travel * -8, y), (225 + side * travel * -8 - 26 * travel, y))
        for side, y in ((1, 44.0), (-1, 126.0))
    ]
    usual = 40 if travel > 0 else 380
    other_way = sheet.marks(
        Ink.ARROW,
        ((usual + 70 * travel, 14), (usual, 14)),
        ((usual + 10 * travel, 8), (usual, 14), (usual + 10 * travel, 20)),
    )

    def shift(x: float) -> float:
        return -5 - 13 / (1 + 2 ** (-(x - 235) * travel / 12))

    return sheet.plan(
        tells,
        Side.LEFT,
        travel,
        *sheet.bars(Ink.STEEL, 60, 120, 330, 390),
        *sheet.edges(shift),
        sheet.bar(Ink.FAULT, 225, sheet.LEAD * travel),
        sheet.ring(Ink.STEEL, 225, sheet.MIDDLE, 7),
        sheet.marks(Ink.STEEL, *arms),
        *([other_way] if runs_backwards else []),
    )


def _trough_set(x: float, left: float, right: float, *, fault: tuple[bool, bool]) -> list[Stroke]:
    """One set seen from above; outer ends of its wing rolls moved along the sheet."""
    top, foot = sheet.MIDDLE - _WING, sheet.MIDDLE + _WING
    wings = (
        (((x, top), (x + left, sheet.MIDDLE - sheet.HALF_ROLL)), fault[0]),
        (((x, foot), (x + right, sheet.MIDDLE + sheet.HALF_ROLL)), fault[1]),
    )
    drawn = [sheet.line(Ink.FAULT if bad else Ink.STEEL, *ends) for ends, bad in wings]
    return [sheet.line(Ink.STEEL, (x, top), (x, foot)), *drawn]


def _tilted(
    tells: str | Promise, travel: int, left: float, right: float, fault: tuple[bool, bool]
) -> Drawing:
    sets = [stroke for x in (150, 210, 270) for stroke in _trough_set(x, left, right, fault=fault)]
    fall = 80 if fault == (False, True) else 400
    return sheet.plan(
        tells,
        Side.LEFT,
        travel,
        *sheet.bars(Ink.STEEL, 40, 380),
        *sets,
        *sheet.edges(sheet.after(270 if travel > 0 else 150, travel, 50, fall)),
    )


def _carrying_seized() -> Drawing:
    flats = [((214, y), (222, y + 4)) for y in (108, 116, 124)]
    return sheet.plan(
        _(
            "The right-hand wing roll stands still and is polished flat. Its drag alone turns the "
            "belt a very little to the right; an edge worn into its shell turns it more."
        ),
        Side.RIGHT,
        1,
        *[one for x in (60, 135, 285, 360) for one in _trough_set(x, 0, 0, fault=(False, False))],
        *_trough_set(210, 0, 0, fault=(False, True)),
        sheet.marks(Ink.FAULT, *flats),
        *sheet.edges(lambda x: -0.35 * sheet.after(210, 1, 15, 60)(x)),
    )


def trough(ink: Ink = Ink.STEEL, shift: float = 0.0, left_drop: float = 0.0) -> Stroke:
    """Three rolls in a section, moved to the right; the left wing may have sunk."""
    return sheet.marks(
        ink,
        ((90 + shift, 62 + left_drop), (150 + shift, 122 + left_drop)),
        ((160 + shift, 128 + left_drop / 2), (260 + shift, 128)),
        ((270 + shift, 122), (330 + shift, 62)),
    )


def _carrying_dropped() -> Drawing:
    return sheet.section(
        _(
            "The left-hand end of one frame has sunk, and it lags behind as well: the belt touches "
            "that end first and goes left."
        ),
        Side.LEFT,
        sheet.marks(
            Ink.STEEL, ((160, 134), (260, 128)), ((270, 122), (330, 62)), ((300, 92), (300, 160))
        ),
        sheet.marks(Ink.FAULT, ((86, 80), (150, 138)), ((110, 104), (110, 160))),
        sheet.line(Ink.BELT, (66, 56), (152, 128), (258, 120), (300, 80)),
    )


def _carrying_caked() -> Drawing:
    crust = ((86, 58), (92, 46), (104, 58), (114, 54), (122, 72), (136, 74), (140, 92), (154, 116))
    return sheet.section(
        _(
            "The left-hand wing roll has grown thick with fines and lifts the belt there, a little "
            "unsteadily. To which side it is led off, a look at the belt tells."
        ),
        None,
        trough(),
        sheet.shape(Ink.FAULT, *crust, (90, 62)),
        sheet.line(Ink.BELT, (84, 30), (120, 62), (158, 110), (262, 116), (322, 56)),
    )


def _transition_uneven() -> Drawing:
    return sheet.section(
        _(
            "The left-hand wing of the transition set stands steeper: that edge is lifted sooner "
            "and stretched more than the other, and the belt wanders off on the first sets."
        ),
        None,
        sheet.marks(Ink.STEEL, ((150, 120), (264, 120)), ((272, 116), (348, 88))),
        sheet.line(Ink.FAULT, (142, 116), (82, 66)),
        sheet.line(Ink.BELT, (84, 50), (150, 106), (262, 108), (344, 76)),
    )


def _impact_uneven() -> Drawing:
    cushions = [((x, 120), (x, 150)) for x in (226, 248)]
    return sheet.section(
        _(
            "The impact bed has given way on the left: the loaded belt leans to the left inside "
            "the skirts, and material escapes on the right."
        ),
        Side.LEFT,
        sheet.marks(Ink.STEEL, ((96, 14), (96, 66)), ((324, 14), (324, 66))),
        sheet.marks(Ink.STEEL, ((262, 116), (326, 74)), *cushions, ((130, 152), (290, 152))),
        sheet.marks(
            Ink.FAULT, ((92, 96), (160, 136)), ((166, 138), (214, 128)), ((180, 138), (186, 150))
        ),
        sheet.line(Ink.BELT, (74, 72), (160, 124), (256, 106), (300, 78)),
        sheet.line(Ink.LOAD, (110, 92), (180, 62), (280, 84)),
        sheet.marks(Ink.LOAD, ((312, 82), (336, 104)), ((306, 92), (326, 116))),
    )


def _return_dropped() -> Drawing:
    return sheet.section(
        _(
            "The left-hand end of a return roll has sunk in its hanger and drags: the belt goes "
            "left, to the low end."
        ),
        Side.LEFT,
        sheet.marks(Ink.STEEL, ((70, 20), (70, 76)), ((350, 20), (350, 76)), ((50, 20), (370, 20))),
        sheet.line(Ink.FAULT, (70, 112), (350, 76)),
        sheet.line(Ink.FAULT, (70, 76), (70, 112)),
        sheet.line(Ink.BELT, (96, 97), (290, 73)),
    )


def _roll(top: list[tuple[float, float]], ink: Ink) -> Stroke:
    """A return roll from the end of its row; `top` is its upper line, left to right."""
    return sheet.shape(ink, *top, (340, 120), (80, 120))


def _return_seized() -> Drawing:
    worn = [(80.0, 84.0), (120, 84), (132, 97), (210, 100), (288, 97), (300, 84), (340, 84)]
    return sheet.section(
        _(
            "The roll stands still under the returning belt and is worn through on top. By drag "
            "alone it hardly moves the belt; a shell worn to an edge does, to either side."
        ),
        None,
        sheet.marks(Ink.STEEL, ((60, 102), (80, 102)), ((340, 102), (360, 102))),
        _roll(worn, Ink.FAULT),
        sheet.line(Ink.BELT, (124, 78), (296, 78)),
    )


def _return_caked() -> Drawing:
    crust = ((80, 84), (84, 66), (96, 72), (108, 62), (122, 72), (140, 70), (156, 80), (176, 84))
    return sheet.section(
        _(
            "What the cleaner leaves on the belt has caked onto the left-hand end of the roll: the "
            "belt goes left, to the thick end, and shakes a little."
        ),
        Side.LEFT,
        sheet.marks(Ink.STEEL, ((60, 102), (80, 102)), ((340, 102), (360, 102))),
        _roll([(80.0, 84.0), (340, 84)], Ink.STEEL),
        sheet.shape(Ink.FAULT, *crust),
        sheet.line(Ink.BELT, (88, 54), (176, 64), (266, 76)),
    )


def _return_tapered() -> Drawing:
    return sheet.section(
        _(
            "The right-hand end of the roll is ground down: the belt goes left, to the end that "
            "has kept its thickness."
        ),
        Side.LEFT,
        sheet.marks(Ink.STEEL, ((60, 102), (80, 102)), ((340, 106), (360, 106))),
        _roll([(80.0, 80.0), (210, 82), (340, 100)], Ink.FAULT),
        sheet.line(Ink.BELT, (92, 72), (210, 74), (282, 82)),
    )


def _vee_uneven() -> Drawing:
    return sheet.section(
        _(
            "The right-hand roll of the pair is set flatter than the left: the belt settles to the "
            "right of the middle, on the flatter roll."
        ),
        Side.RIGHT,
        sheet.line(Ink.STEEL, (96, 62), (204, 112)),
        sheet.line(Ink.FAULT, (216, 112), (334, 94)),
        sheet.line(Ink.BELT, (148, 74), (222, 100), (332, 82)),
    )


_AHEAD_CARRYING = _(
    "The belt runs to the right of the sheet, toward the head. Right-hand ends of some rolls stand "
    "toward the head: the belt touches the left ends first and goes left."
)
_AHEAD_RETURN = _(
    "The belt runs to the left of the sheet, toward the tail. Right-hand ends of some rolls stand "
    "toward the tail: the belt touches the left ends first and goes left."
)

DRAWN: dict[str, Callable[[], Drawing]] = {
    "carrying_idlers_skewed": lambda: turned(_AHEAD_CARRYING, 1, 230, 255, 280),
    "carrying_idler_dropped": _carrying_dropped,
    "self_aligning_idler_stuck_carrying": lambda: _stuck(
        _(
            "The set should swing on its pin and does not. The right-hand end of its roll stays "
            "toward the head: the belt touches the left end first and goes left."
        ),
        1,
    ),
    "rolls_trained_one_way": lambda: turned(
        _(
            "Right-hand ends of a whole row of rolls were once turned toward the head to cure the "
            "other direction of running; in this one they send the belt left."
        ),
        1,
        120,
        160,
        200,
        240,
        280,
    ),
    "carrying_roll_seized": _carrying_seized,
    "carrying_roll_build_up": _carrying_caked,
    "wing_rolls_tilted_unevenly": lambda: _tilted(
        _(
            "The wing rolls on the right lean further forward than those on the left: the belt is "
            "steered left, to the side that leans less."
        ),
        1,
        2,
        12,
        (False, True),
    ),
    "transition_idlers_uneven": _transition_uneven,
    "impact_bed_uneven": _impact_uneven,
    "self_aligning_idler_backwards_carrying": lambda: _worsening(
        _(
            "The arms of the set lie behind it. The belt comes a little to the left; the set "
            "swings the right-hand end of its roll ahead, and the belt goes further left."
        ),
        1,
    ),
    "reversing_idlers_tilted": lambda: _tilted(
        _(
            "The wing rolls lean toward the head, and the belt runs to the tail: each wing drives "
            "its edge outward, and a belt a little to the left is thrown further left."
        ),
        -1,
        12,
        12,
        (True, True),
    ),
    "self_aligning_wrong_for_reversing_carrying": lambda: _worsening(
        _(
            "The arms of the set suit running to the head; here the belt runs to the tail. A belt "
            "a little left swings the right-hand end of the roll ahead and goes further left."
        ),
        -1,
        runs_backwards=True,
    ),
    "return_idler_skewed": lambda: turned(_AHEAD_RETURN, -1, 230, 255, 280),
    "return_idler_dropped": _return_dropped,
    "return_roll_seized": _return_seized,
    "return_roll_build_up": _return_caked,
    "return_roll_worn_taper": _return_tapered,
    "self_aligning_idler_stuck": lambda: _stuck(
        _(
            "The swinging set on the returning belt is frozen. The right-hand end of its roll "
            "stays toward the tail: the belt touches the left end first and goes left, far along."
        ),
        -1,
    ),
    "self_aligning_idler_backwards": lambda: _worsening(
        _(
            "On the return run the arms of the set lie behind it. The belt comes a little to the "
            "left; the right-hand end of the roll swings ahead, and the belt goes further left."
        ),
        -1,
    ),
    "self_aligning_wrong_for_reversing": lambda: _worsening(
        _(
            "The arms of the set suit a lower run that goes to the tail; here it goes to the head. "
            "The right-hand end of the roll swings ahead, and a belt to the left goes further left."
        ),
        1,
        runs_backwards=True,
    ),
    "vee_return_uneven": _vee_uneven,
}
