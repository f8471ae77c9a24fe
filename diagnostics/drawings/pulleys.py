"""Pulleys and their bearings: out of square, thicker at one end, low at one end, giving way."""

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.drawings import sheet
from diagnostics.drawings.sheet import Drawing, Ink, Stroke
from plant.loop.vocabulary import Side

_TOP, _FOOT = sheet.MIDDLE - sheet.HALF_ROLL - 6, sheet.MIDDLE + sheet.HALF_ROLL + 6


@dataclass(frozen=True)
class Pulley:
    """Where it is on the sheet, which way its belt runs there, between which marks it is drawn.

    The belt meets the tail running toward the tail, though it leaves it toward the head.
    """

    x: float
    travel: int
    meets: int
    start: float
    end: float
    about: tuple[Stroke, ...] = ()

    def belt(self) -> list[Stroke]:
        shift = sheet.after(self.x, self.travel, 30, 120)
        return [
            *[sheet.bar(Ink.STEEL, x) for x in (100, 160, 260, 320) if abs(x - self.x) > 40],
            *self.about,
            *sheet.edges(shift, self.start, self.end),
        ]


# What stands about a pulley tells one place from another.
_MOTOR = sheet.shape(Ink.STEEL, (196, 2), (226, 2), (226, 26), (196, 26))
_CARRIAGE = sheet.marks(
    Ink.STEEL, ((150, 32), (300, 32)), ((150, 138), (300, 138)), ((300, 32), (300, 138))
)
TAIL = Pulley(50, 1, -1, 50, 400)
HEAD = Pulley(370, 1, 1, 20, 370)
BEND = Pulley(210, -1, -1, 20, 400)
DRIVE = Pulley(210, -1, -1, 20, 400, (_MOTOR,))
TAKE_UP = Pulley(210, -1, -1, 20, 400, (_CARRIAGE,))


def turned(tells: str | Promise, pulley: Pulley, *about: Stroke) -> Drawing:
    """The right-hand end further along in the direction in which the belt meets the pulley."""
    return sheet.plan(
        tells,
        Side.LEFT,
        pulley.travel,
        *pulley.belt(),
        *about,
        sheet.bar(Ink.FAULT, pulley.x, sheet.LEAD * pulley.meets, sheet.HALF_ROLL + 6),
    )


def giving_way(tells: str | Promise, pulley: Pulley) -> Drawing:
    """The left-hand bearing gives way to the pull of the belt."""
    lead = sheet.LEAD * pulley.meets
    x = pulley.x - lead
    rays = [
        ((x + 11 * dx, 26 + 11 * dy), (x + 18 * dx, 26 + 18 * dy))
        for dx, dy in ((-0.7, -0.7), (0.7, -0.7), (-1, 0.0), (1, 0.0))
    ]
    return sheet.plan(
        tells,
        Side.LEFT,
        pulley.travel,
        *pulley.belt(),
        sheet.bar(Ink.STEEL, pulley.x, lead, sheet.HALF_ROLL + 6),
        sheet.ring(Ink.STEEL, pulley.x + lead, 142, 7),
        sheet.ring(Ink.FAULT, x, 28, 7),
        sheet.marks(Ink.FAULT, *rays),
    )


def thick(tells: str | Promise, pulley: Pulley, *about: Stroke) -> Drawing:
    """Thicker at the left-hand end."""
    x = pulley.x
    shell = ((x - 13, _TOP), (x + 13, _TOP), (x + 5, _FOOT), (x - 5, _FOOT))
    return sheet.plan(
        tells, Side.LEFT, pulley.travel, *pulley.belt(), sheet.shape(Ink.FAULT, *shell), *about
    )


def crust(x: float) -> Stroke:
    """Lumps on the left-hand end."""
    left = [(x - 13, 36), (x - 21, 44), (x - 15, 52), (x - 20, 60), (x - 11, 68)]
    right = [(x + 13, 36), (x + 21, 42), (x + 15, 50), (x + 19, 60), (x + 11, 68)]
    return sheet.marks(Ink.FAULT, left, right)


def scores(x: float) -> Stroke:
    """Wear on the right-hand end."""
    return sheet.marks(Ink.FAULT, *[((x - 7, y), (x + 7, y + 5)) for y in (104, 113, 122)])


def _grooves(x: float, *places: float) -> Stroke:
    return sheet.marks(Ink.STEEL, *[((x - 9, y + 5), (x, y), (x + 9, y + 5)) for y in places])


def _wings(x: float) -> Stroke:
    return sheet.marks(Ink.STEEL, *[((x + dx, 40), (x + dx / 2, 128)) for dx in (-7, 0, 7)])


def _screw_take_up() -> Drawing:
    rods = [
        ((96, 36), (58, 36)),
        ((96, 134), (42, 134)),
        ((96, 28), (96, 44)),
        ((96, 126), (96, 142)),
    ]
    threads = [((x, 131), (x + 3, 137)) for x in (56, 64, 72, 80)]
    return turned(
        _(
            "The screw on the right is tightened more, so that the right-hand end of the tail "
            "pulley stands further from the head: the belt goes left, away from the tighter side."
        ),
        TAIL,
        sheet.marks(Ink.STEEL, *rods, *threads),
    )


def _snub() -> Drawing:
    return turned(
        _(
            "The snub stands beside its old marks: the right-hand end of it was once moved along "
            "in the belt's direction. The belt touches the left end first and goes left."
        ),
        BEND,
        sheet.marks(Ink.CENTRE, ((204, _TOP), (204, _FOOT)), ((216, _TOP), (216, _FOOT))),
        sheet.marks(Ink.STEEL, ((196, 26), (224, 26)), ((196, 144), (224, 144))),
    )


def low(tells: str | Promise, *about: Stroke) -> Drawing:
    """A pulley whose left-hand end is lower."""
    return sheet.section(
        tells,
        Side.LEFT,
        sheet.line(Ink.FAULT, (80, 113), (340, 77)),
        sheet.line(Ink.BELT, (100, 104), (278, 79)),
        *about,
    )


def _trapped() -> Drawing:
    lump = ((40, 52), (54, 44), (66, 50), (64, 64), (48, 70), (38, 62))
    return sheet.plan(
        _(
            "A lump is caught between belt and pulley at the left-hand end. It acts like a thick "
            "end: the belt goes left there, with a thump at every turn of the pulley."
        ),
        Side.LEFT,
        1,
        *TAIL.belt(),
        sheet.bar(Ink.STEEL, TAIL.x, 0, sheet.HALF_ROLL + 6),
        sheet.shape(Ink.FAULT, *lump),
    )


def _lagging_lost() -> Drawing:
    x = HEAD.x
    cover = ((x - 12, _TOP), (x + 12, _TOP), (x + 12, 84), (x + 5, 92), (x - 6, 82), (x - 12, 90))
    return sheet.plan(
        _(
            "The lagging has come off the right-hand part of the head pulley: the left-hand end is "
            "now the thicker one, and the belt goes left."
        ),
        Side.LEFT,
        1,
        *HEAD.belt(),
        sheet.bar(Ink.STEEL, x, 0, sheet.HALF_ROLL + 6),
        sheet.shape(Ink.FAULT, *cover),
        _grooves(x, 46, 58, 70),
    )


_STANDS = sheet.marks(
    Ink.STEEL, ((80, 113), (80, 150)), ((340, 77), (340, 150)), ((60, 150), (360, 150))
)
_HEAD_CHUTE = sheet.marks(
    Ink.STEEL, ((60, 30), (60, 130), (140, 162)), ((360, 30), (360, 130), (280, 162))
)
_HANGERS = sheet.marks(
    Ink.STEEL, ((50, 16), (370, 16)), ((80, 16), (80, 113)), ((340, 16), (340, 77))
)

DRAWN: dict[str, Callable[[], Drawing]] = {
    "tail_pulley_skewed": lambda: turned(
        _(
            "The right-hand end of the tail pulley stands further from the head: the belt touches "
            "the left end first, where it comes to the pulley, and goes left."
        ),
        TAIL,
    ),
    "screw_take_up_uneven": _screw_take_up,
    "head_pulley_skewed": lambda: turned(
        _(
            "The right-hand end of the head pulley stands further along in the belt's direction: "
            "the belt touches the left end first and goes left."
        ),
        HEAD,
    ),
    "bend_pulley_skewed": lambda: turned(
        _(
            "The right-hand end of the bend pulley stands further along in the direction in which "
            "the belt meets it: the belt touches the left end first and goes left."
        ),
        BEND,
    ),
    "snub_shifted_to_train": _snub,
    "drive_pulley_skewed": lambda: turned(
        _(
            "The right-hand end of the drive pulley stands further along in the belt's direction: "
            "the belt goes left behind it, more when the drive pulls hard."
        ),
        DRIVE,
    ),
    "tail_pulley_build_up": lambda: thick(
        _(
            "A crust has grown onto the left-hand end of the tail pulley: the belt goes left, to "
            "the thick end."
        ),
        TAIL,
        crust(TAIL.x),
    ),
    "tail_pulley_worn": lambda: thick(
        _(
            "The wings of the tail pulley are ground away on the right: the belt goes left, to the "
            "end that has kept its thickness."
        ),
        TAIL,
        _wings(TAIL.x),
        scores(TAIL.x),
    ),
    "head_lagging_worn_one_side": lambda: thick(
        _(
            "The lagging of the head pulley is still thick on the left and worn on the right: the "
            "belt goes left, to the thick end, and stays there on the return run."
        ),
        HEAD,
        _grooves(HEAD.x, 46, 60, 74),
        scores(HEAD.x),
    ),
    "head_pulley_build_up": lambda: thick(
        _(
            "A crust has grown onto the left-hand end of the head pulley: the belt goes left, to "
            "the thick end."
        ),
        HEAD,
        crust(HEAD.x),
    ),
    "bend_pulley_build_up": lambda: thick(
        _(
            "A crust has grown onto the left-hand end of a bend or snub pulley, which touches the "
            "dirty side of the belt: the belt goes left, to the thick end."
        ),
        BEND,
        crust(BEND.x),
    ),
    "drive_lagging_worn_one_side": lambda: thick(
        _(
            "The lagging of the drive pulley is worn on the right, where it slips and squeals on "
            "starting: the belt goes left, to the thick end."
        ),
        DRIVE,
        _grooves(DRIVE.x, 46, 60, 74),
        scores(DRIVE.x),
    ),
    "tail_pulley_out_of_level": lambda: low(
        _(
            "The left-hand end of the tail pulley is lower than the right, on a foundation that "
            "has settled: the belt goes left, to the low side."
        ),
        _STANDS,
    ),
    "head_pulley_out_of_level": lambda: low(
        _(
            "The left-hand end of the head pulley is lower than the right in its chute: the belt "
            "goes left, to the low side."
        ),
        _HEAD_CHUTE,
    ),
    "bend_pulley_out_of_level": lambda: low(
        _(
            "The left-hand end of the bend pulley hangs lower than the right: where the belt meets "
            "it lying flat, it goes left, to the low side."
        ),
        _HANGERS,
    ),
    "tail_pulley_bearing_failing": lambda: giving_way(
        _(
            "The left-hand bearing of the tail pulley gives way, so that this end yields to the "
            "belt's pull toward the head: the belt goes left, more from week to week."
        ),
        TAIL,
    ),
    "head_pulley_bearing_failing": lambda: giving_way(
        _(
            "The left-hand bearing of the head pulley gives way, so that this end yields to the "
            "belt's pull toward the tail: the belt goes left, more from week to week."
        ),
        HEAD,
    ),
    "bend_pulley_bearing_failing": lambda: giving_way(
        _(
            "The left-hand bearing of a bend or snub pulley gives way to the belt's pull: the belt "
            "touches that end first and goes left, slowly worse."
        ),
        BEND,
    ),
    "material_trapped_at_tail": _trapped,
    "head_lagging_lost": _lagging_lost,
}
