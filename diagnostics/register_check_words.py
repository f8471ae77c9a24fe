"""What the engineering check asks: a title and a question to the keeper for each check.

`found`, `wanted`, `at` (all names), `first` and `second` (the first two) are put in.
"""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.mechanics.register_check.findings import Bound, Check, Missing

Words = str | Promise


@dataclass(frozen=True)
class CheckWords:
    """`found` and `wanted` name the two figures; `work`: an answer may mean work at the belt."""

    title: Words
    question: Words
    found: Words
    wanted: Words
    # Where too small and too large mean something else.
    question_if_less: Words = ""
    is_work: bool = False


CHECK_WORDS: dict[Check, CheckWords] = {
    Check.BELT_LENGTH: CheckWords(
        _("Belt length and path"),
        _(
            "The belt is registered as %(found)s long; its path and the travel of the take-up "
            "leave room for %(wanted)s. Is the length mistyped, or is the loop of the take-up "
            "longer than registered?"
        ),
        _("belt, registered"),
        _("path with the take-up"),
        _(
            "The belt is registered as %(found)s long, its path needs %(wanted)s. Is the belt's "
            "length mistyped, or the position of a pulley?"
        ),
    ),
    Check.BELT_SPEED: CheckWords(
        _("Belt speed and pulley speed"),
        _(
            "The belt is registered with %(found)s, yet the rim of %(first)s runs at %(wanted)s. "
            "Is the speed or the diameter mistyped, or does the belt slip?"
        ),
        _("belt speed, registered"),
        _("rim of the pulley"),
        is_work=True,
    ),
    Check.BELT_WIDTH: CheckWords(
        _("Belt width"),
        _(
            "%(found)s is no standard width; the nearest is %(wanted)s. Is the width mistyped, or "
            "was the belt cut to order?"
        ),
        _("belt width, registered"),
        _("nearest standard width"),
    ),
    Check.TROUGH_ANGLE: CheckWords(
        _("Trough angle"),
        _(
            "A trough of %(found)s is unusual; the nearest usual angle is %(wanted)s. Is it "
            "mistyped?"
        ),
        _("trough angle, registered"),
        _("nearest usual angle"),
    ),
    Check.HEIGHTS_RISE: CheckWords(
        _("Heights and lift"),
        _(
            "The heights along the carrying run rise by %(found)s in all, the lift is registered "
            "as %(wanted)s. Which of the two is right?"
        ),
        _("rise of the heights"),
        _("lift, registered"),
    ),
    Check.HEIGHTS_END: CheckWords(
        _("Heights and length"),
        _(
            "The heights end at %(found)s, the head pulley stands at %(wanted)s. Is a point "
            "missing, or were the distances measured horizontally?"
        ),
        _("last point of the heights"),
        _("position of the head pulley"),
    ),
    Check.SLOPE: CheckWords(
        _("Slope"),
        _(
            "The steepest stretch climbs or falls at %(found)s; on a plain belt most materials "
            "begin to slide at %(wanted)s. Is a height mistyped, or does the belt hold its load?"
        ),
        _("steepest stretch"),
        _("plain belts"),
    ),
    Check.PULLEY_ORDER: CheckWords(
        _("Pulley diameters"),
        _(
            "%(first)s measures %(found)s, much more than %(second)s, which carries more tension. "
            "Are the two mixed up, or is a diameter mistyped?"
        ),
        _("the pulley of less tension"),
        _("by the pulley of more tension"),
    ),
    Check.SPACING: CheckWords(
        _("Spacing of idler sets"),
        _(
            "The sets of %(at)s stand %(found)s apart, farther than usual. Is the decimal point "
            "in its place, or are sets missing?"
        ),
        _("spacing, registered"),
        _("usual for this kind"),
        _(
            "The sets of %(at)s stand %(found)s apart, closer than usual. Is the decimal point in "
            "its place?"
        ),
    ),
    Check.GAP: CheckWords(
        _("Stretches without a set"),
        _(
            "Between %(first)s and %(second)s the belt runs %(found)s without a set. Is a group "
            "missing from the register, or a position mistyped?"
        ),
        _("longest stretch"),
        _("by the spacing beside it"),
    ),
    Check.TRANSITION: CheckWords(
        _("Transition distance"),
        _(
            "From %(first)s to %(second)s it is %(found)s; a belt like this usually has "
            "%(wanted)s or more, even where the pulley is raised by half the trough. Is a "
            "position mistyped, or do flatter transition idlers stand there that are not "
            "registered as such?"
        ),
        _("pulley to full trough"),
        _("needed by the belt's edges"),
    ),
    Check.ROLL_SPEED: CheckWords(
        _("Speed of the rolls"),
        _(
            "The rolls of %(at)s would turn at %(found)s, more than rolls usually do. Is their "
            "diameter or the belt speed mistyped?"
        ),
        _("turns of the roll"),
        _("usual for rolls"),
    ),
    Check.TENSION: CheckWords(
        _("Tension along the loop"),
        _(
            "By these figures the belt would hang slack: the least tension along the loop comes "
            "out at %(found)s. Is the take-up tension, the lift or the belt's mass mistyped?"
        ),
        _("least tension, computed"),
        _("for a belt that is taut"),
        is_work=True,
    ),
    Check.SLIP: CheckWords(
        _("Take-up and grip of the drive"),
        _(
            "Behind %(at)s the belt would have a tension of %(found)s; to pull the full belt "
            "without slipping it would need %(wanted)s. Is the take-up tension, the capacity or "
            "the wrap mistyped?"
        ),
        _("tension behind the drive"),
        _("needed to pull the full belt"),
        is_work=True,
    ),
    Check.TAKE_UP_MASS: CheckWords(
        _("Take-up weight"),
        _(
            "The registered tension belongs to a weight of %(found)s; read was %(wanted)s. Was "
            "the tension of both strands registered instead of one, or do ropes change it?"
        ),
        _("weight by the registered tension"),
        _("weight, read"),
        is_work=True,
    ),
    Check.SAG_CARRYING: CheckWords(
        _("Sag of the carrying run"),
        _(
            "Under full load the belt would sag by %(found)s of the spacing at %(at)s. Is the "
            "take-up tension, the spacing or the capacity mistyped?"
        ),
        _("largest sag over spacing"),
        _("usual"),
        is_work=True,
    ),
    Check.SAG_RETURN: CheckWords(
        _("Sag of the return run"),
        _(
            "The belt would sag by %(found)s of the spacing at %(at)s. Is the take-up tension, "
            "the spacing or the belt's mass mistyped?"
        ),
        _("largest sag over spacing"),
        _("usual"),
        is_work=True,
    ),
}
MISSING_WORDS: dict[Missing, Words] = {
    Missing.LOOP: _("the loop is not complete"),
    Missing.BELT: _("no belt is registered"),
    Missing.BELT_MASS: _("the belt's mass is not registered"),
    Missing.CAPACITY: _("the capacity is not registered"),
    Missing.TAKE_UP_TENSION: _("the take-up tension is not registered"),
    Missing.TAKE_UP_MASS: _("the register has no place for the weight and nobody gave it below"),
    Missing.TAKE_UP_PULLEY: _("the take-up pulley is not registered"),
    Missing.PULLEY_SPEED: _(
        "the register has no place for the turns of the pulley and nobody gave them below"
    ),
    Missing.PULLEY_DIAMETER: _("the diameter of a pulley is not registered"),
    Missing.ROLL_DIAMETER: _("the roll diameter is not registered"),
    Missing.CARRYING_IDLERS: _("no idler sets of the carrying run are registered"),
    Missing.RETURN_IDLERS: _("no idler sets of the return run are registered"),
    Missing.BRAKING: _(
        "full or empty, this belt would drive itself; a drive that brakes is not looked at"
    ),
}


def question_words(check: Check, bound: Bound) -> Words:
    words = CHECK_WORDS[check]
    is_less = bound is Bound.AT_LEAST and words.question_if_less
    return words.question_if_less if is_less else words.question
