"""Rolls in the reader's language, each wing with the conveyor's own word for its side."""

from django.utils.functional import Promise
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from plant.loop.parts import Part
from plant.loop.rolls import RollPlace, WhyChanged
from plant.loop.set_choice import CannotChoose

ROLL_WORDS: dict[RollPlace, str | Promise] = {
    RollPlace.LEFT_WING: _("left wing"),
    RollPlace.LEFT_INNER: _("left inner roll"),
    RollPlace.CENTRE: _("centre roll"),
    RollPlace.RIGHT_INNER: _("right inner roll"),
    RollPlace.RIGHT_WING: _("right wing"),
}
WHY_WORDS: dict[WhyChanged, str | Promise] = {
    WhyChanged.SEIZED: _("seized"),
    WhyChanged.SHELL_WORN: _("shell worn"),
    WhyChanged.NOISY_BEARING: _("noisy bearing"),
    WhyChanged.DAMAGED: _("damaged"),
    WhyChanged.PRECAUTION: _("precaution"),
    WhyChanged.OTHER: _("another reason"),
}
# A vee has no wings, and a roll that is alone is in no middle.
_OF_TWO = {RollPlace.LEFT_WING: _("left roll"), RollPlace.RIGHT_WING: _("right roll")}
_CHOICE: dict[str, str | Promise] = {
    "empty": _("Say which sets: 12, 14, 17-19."),
    "too_long": _("That is too much at once: at most 400 letters."),
    "not_understood": _("“%(said)s” could not be read. Write it like 12, 14, 17-19."),
    "no_such_set": _("“%(said)s”: no such set stands here."),
    "backwards": _("“%(said)s” runs backwards: begin with the lower number."),
}


def roll_words(place: str, count: int = 3) -> str:
    """What a roll is called in a set of so many, without its side's own word."""
    roll = RollPlace(place)
    if count == 1:
        return _now("roll")
    return str(_OF_TWO[roll] if count == 2 and roll in _OF_TWO else ROLL_WORDS[roll])


def roll_words_with_side(place: str, count: int, left_words: str, right_words: str) -> str:
    """`left wing (walkway side)`."""
    side = RollPlace(place).side
    own = {"left": left_words, "right": right_words}.get(side.value, "") if side else ""
    words = roll_words(place, count)
    return f"{words} ({own})" if own else words


def set_words(part: Part, place: int) -> str:
    """The name of a set; of a group without numbers its place in it, counted from 1 on."""
    if part.is_numbered:
        return f"{part.prefix}{part.first_number + place - 1}"
    if part.count == 1:
        return part.name
    return _now("%(name)s, set %(number)d") % {"name": part.name, "number": place}


def refused_choice(refusal: CannotChoose) -> str:
    return str(_CHOICE[refusal.code]) % {"said": refusal.said[:60]}
