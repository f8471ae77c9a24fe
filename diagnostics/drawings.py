"""A small drawing per family of causes: what is wrong, and to which side the belt goes.

Each family is drawn for one side; the mirror image holds as well. Signs: edge touched first, low
side, thick end, lightly loaded edge, inside of a bow (see the sources in fixtures/causes.yaml).
"""

from collections.abc import Callable

from django.utils.translation import gettext_lazy as _

from diagnostics import drawing_sheet as sheet
from diagnostics.drawing_sheet import Drawing, Ink, Stroke
from diagnostics.inference.causes import Cause
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import ComponentKind, Side


def drawing_of(cause: Cause) -> Drawing | None:
    """The family's drawing, or None for what has no shape to draw, such as frost."""
    draw = _FAMILIES.get(cause.slug)
    return draw(cause) if draw else None


def _turned_idlers(cause: Cause) -> Drawing:
    travel = sheet.travel(cause)
    is_return = travel < 0
    rolls = [sheet.bar(Ink.STEEL, x) for x in (60, 120, 180, 330, 390)]
    turned = [sheet.bar(Ink.FAULT, x, sheet.LEAD * travel) for x in (230, 255, 280)]
    # Flat return rolls do not bring the belt back, a trough does.
    shift = sheet.after(255, travel, 18, 600 if is_return else 90)
    tells = (
        _(
            "The belt runs to the left of the sheet, toward the tail. Right-hand ends of some "
            "rolls stand toward the tail: the belt touches the left ends first and goes left."
        )
        if is_return
        else _(
            "The belt runs to the right of the sheet, toward the head. Right-hand ends of some "
            "rolls stand toward the head: the belt touches the left ends first and goes left."
        )
    )
    return sheet.plan(tells, Side.LEFT, travel, *rolls, *turned, *sheet.edges(shift))


def _place_of_pulley(cause: Cause) -> tuple[float, float, float]:
    """Where the pulley is on the sheet, and between which marks its belt is drawn."""
    if cause.cause_class is CauseClass.TAIL_PULLEY:
        return 50.0, 50.0, 400.0
    if cause.cause_class is CauseClass.HEAD_PULLEY:
        return 370.0, 20.0, 370.0
    return 210.0, 20.0, 400.0


def _belt_at_pulley(cause: Cause) -> list[Stroke]:
    place, start, end = _place_of_pulley(cause)
    travel = sheet.travel(cause)
    return [
        *[sheet.bar(Ink.STEEL, x) for x in (100, 160, 260, 320) if abs(x - place) > 40],
        *sheet.edges(sheet.after(place, travel, 30, 120), start, end),
    ]


def _turned_pulley(cause: Cause) -> Drawing:
    place, _start, _end = _place_of_pulley(cause)
    # Tail: the belt meets it running toward the tail, to the left of the sheet.
    meets = -1 if cause.cause_class is CauseClass.TAIL_PULLEY else sheet.travel(cause)
    return sheet.plan(
        _(
            "The right-hand end of the pulley stands further along in the direction in which the "
            "belt meets it: the belt touches the left end first and goes left."
        ),
        Side.LEFT,
        sheet.travel(cause),
        *_belt_at_pulley(cause),
        sheet.bar(Ink.FAULT, place, sheet.LEAD * meets, sheet.HALF_ROLL + 6),
    )


def _thick_end(cause: Cause) -> Drawing:
    place, _start, _end = _place_of_pulley(cause)
    top, foot = sheet.MIDDLE - sheet.HALF_ROLL - 6, sheet.MIDDLE + sheet.HALF_ROLL + 6
    shell = (
        f"M{place - 13:g} {top:g}L{place + 13:g} {top:g}L{place + 5:g} {foot:g}"
        f"L{place - 5:g} {foot:g}Z"
    )
    return sheet.plan(
        _(
            "The left-hand end is thicker, by build-up or because the other end is worn: the belt "
            "goes left, to the thick end."
        ),
        Side.LEFT,
        sheet.travel(cause),
        *_belt_at_pulley(cause),
        Stroke(Ink.FAULT, shell),
    )


def _low_end(_cause: Cause) -> Drawing:
    return Drawing(
        _("Seen in the direction of carrying travel"),
        _("The left-hand end is lower than the right: the belt goes left, to the low side."),
        Side.LEFT,
        (
            Stroke(Ink.CENTRE, "M210 20L210 150M70 95L350 95"),
            Stroke(Ink.FAULT, "M80 113L340 77"),
            Stroke(Ink.BELT, "M100 104L278 79"),
            Stroke(Ink.STEEL, "M80 113L80 150M340 77L340 150M60 150L360 150"),
        ),
    )


def _load(_cause: Cause) -> Drawing:
    return Drawing(
        _("Seen in the direction of carrying travel"),
        _(
            "The heap lies to the right of the middle: the belt is pushed to the lightly loaded "
            "edge and goes left."
        ),
        Side.LEFT,
        (
            Stroke(Ink.CENTRE, "M210 15L210 155"),
            Stroke(Ink.STEEL, "M90 62L150 122M160 128L260 128M270 122L330 62"),
            Stroke(Ink.BELT, "M70 36L150 114L262 114L302 74"),
            Stroke(Ink.FAULT, "M176 112Q236 10 290 86"),
            Stroke(Ink.ARROW, "M190 148L130 148M142 142L130 148L142 154"),
        ),
    )


def _bow(_cause: Cause) -> Drawing:
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


def _bent_belt(cause: Cause) -> Drawing:
    mark = (
        "M202 30L220 105"
        if cause.cause_class is CauseClass.BELT_SPLICE
        else "M180 96L188 106L198 94L208 107L220 95L232 105"
    )
    return sheet.plan(
        _(
            "One piece of the belt is turned: where it goes by, at every station, the belt stands "
            "to the same side, here to the left, and it comes back behind it."
        ),
        Side.LEFT,
        1,
        *[sheet.bar(Ink.STEEL, x) for x in (60, 120, 300, 360)],
        *sheet.edges(lambda x: -sheet.SHIFT * max(0.0, 1 - abs(x - 210) / 150)),
        Stroke(Ink.FAULT, mark),
        view=_("Seen from above, as the place goes by"),
    )


def _held_back(cause: Cause) -> Drawing:
    is_plough = ComponentKind.PLOUGH in cause.stands_at
    is_cleaner = ComponentKind.BELT_CLEANER in cause.stands_at
    travel = -1 if is_plough or is_cleaner else 1
    return sheet.plan(
        _(
            "Something presses on the right-hand side of the belt and holds it back there: the "
            "belt turns to the right."
        ),
        Side.RIGHT,
        travel,
        *[sheet.bar(Ink.STEEL, x) for x in (60, 140, 290, 370)],
        *sheet.edges(lambda x: -sheet.after(210, travel, 15, 110)(x)),
        Stroke(Ink.FAULT, f"M210 {sheet.MIDDLE + 4:g}L210 {sheet.MIDDLE + 52:g}"),
    )


def _wind(_cause: Cause) -> Drawing:
    gusts = "".join(f"M{x} 4L{x} 34M{x - 5} 26L{x} 34L{x + 5} 26" for x in (160, 210, 260))
    return sheet.plan(
        _("Wind from the left pushes the empty belt to the right on an open stretch."),
        Side.RIGHT,
        1,
        *[sheet.bar(Ink.STEEL, x) for x in (60, 120, 300, 360)],
        *sheet.edges(lambda x: sheet.SHIFT * max(0.0, 1 - ((x - 210) / 130) ** 2)),
        Stroke(Ink.FAULT, gusts),
    )


_FAMILIES: dict[str, Callable[[Cause], Drawing]] = {
    **dict.fromkeys(
        (
            "carrying_idlers_skewed",
            "carrying_idler_dropped",
            "self_aligning_idler_stuck_carrying",
            "rolls_trained_one_way",
            "return_idler_skewed",
            "return_idler_dropped",
            "self_aligning_idler_stuck",
        ),
        _turned_idlers,
    ),
    **dict.fromkeys(
        (
            "tail_pulley_skewed",
            "screw_take_up_uneven",
            "head_pulley_skewed",
            "bend_pulley_skewed",
            "snub_shifted_to_train",
            "drive_pulley_skewed",
            "take_up_carriage_skewed",
            "take_up_ropes_uneven",
        ),
        _turned_pulley,
    ),
    **dict.fromkeys(
        (
            "tail_pulley_build_up",
            "tail_pulley_worn",
            "head_lagging_worn_one_side",
            "head_pulley_build_up",
            "bend_pulley_build_up",
            "drive_lagging_worn_one_side",
            "take_up_pulley_build_up",
            "take_up_pulley_worn_one_side",
            "return_roll_build_up",
            "return_roll_worn_taper",
        ),
        _thick_end,
    ),
    **dict.fromkeys(
        (
            "tail_pulley_out_of_level",
            "head_pulley_out_of_level",
            "bend_pulley_out_of_level",
            "structure_out_of_level",
        ),
        _low_end,
    ),
    **dict.fromkeys(("off_centre_loading", "chute_build_up", "chute_liner_worn"), _load),
    "structure_bowed": _bow,
    **dict.fromkeys(
        (
            "crooked_splice",
            "splice_opening_one_edge",
            "one_sided_belt_damage",
            "belt_camber",
            "belt_tear_across",
        ),
        _bent_belt,
    ),
    **dict.fromkeys(
        ("cleaner_presses_unevenly", "plough_presses_unevenly", "skirt_seal_drags"), _held_back
    ),
    "wind_on_belt": _wind,
}
