"""Condition readings in the reader's language: places of a reading, and why one is asked about."""

from django.utils import formats
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant.loop.condition import Doubt, Quantity, likely_range
from plant.loop.rolls import rolls_of
from plant.loop.vocabulary import IDLERS, ComponentKind, Side
from plant.models import Component, Conveyor
from plant.roll_words import roll_words

_ACROSS = ("left", "middle", "right")
_SPOT_WORDS: dict[str, str | Promise] = {
    "left": gettext_lazy("left"),
    "middle": gettext_lazy("middle"),
    "right": gettext_lazy("right"),
    "left bearing": gettext_lazy("left bearing"),
    "right bearing": gettext_lazy("right bearing"),
}
_OF_A_POINT = frozenset({Quantity.TAKE_UP_TRAVEL_USED})
_OF_BEARINGS = frozenset({Quantity.BEARING_TEMPERATURE, Quantity.NOISE_GRADE})
_CANNOT_BE = gettext_lazy("Nothing measures less than nothing.")
_NO_GRADE = gettext_lazy(
    "A noise grade is 1 silent, 2 hums, 3 rattles, 4 grinds or 5 screeches: a whole number."
)


def spots_of(quantity: Quantity, conveyor: Conveyor, component: Component | None) -> list[str]:
    """Where at a component it is read, one after the other; one empty word for a single place."""
    if quantity in _OF_A_POINT:
        return [""]
    if component is not None and ComponentKind(component.kind) in IDLERS:
        rolls = rolls_of(component.as_part(), conveyor.trough_angle_deg)
        return [roll_words(roll.value, len(rolls)) for roll in rolls]
    if quantity in _OF_BEARINGS:
        return [str(_SPOT_WORDS[one]) for one in ("left bearing", "right bearing")]
    return [str(_SPOT_WORDS[one]) for one in _ACROSS]


def spot_label(spot: str, conveyor: Conveyor) -> str:
    """A spot with the conveyor's own word for its side."""
    for side in Side:
        own = conveyor.words_for(side)
        if own and spot.casefold().startswith(str(_SPOT_WORDS[side.value]).casefold()):
            return f"{spot} ({own})"
    return spot


def doubt_words(doubt: Doubt, quantity: Quantity, before: float | None) -> str:
    """A reading's doubt as a question."""
    least, most = likely_range(quantity)
    told = {
        "least": _figure(least, quantity),
        "most": _figure(most, quantity),
        "before": _figure(before or 0.0, quantity),
    }
    return {
        Doubt.BEYOND_LIKELY: _("Usually between %(least)s and %(most)s: is the figure right?"),
        Doubt.GROWN: _(
            "Thicker than the reading before, %(before)s, and nothing new is written down: was it "
            "renewed, or is one of the two wrong?"
        ),
        Doubt.ODD_PLACE: _("Not usually read on such a component: is it the right one?"),
    }[doubt] % told


def cannot_be_words(quantity: Quantity) -> str:
    """Why a figure that cannot be read of it is refused."""
    return str(_NO_GRADE if quantity.is_grade else _CANNOT_BE)


def _figure(value: float, quantity: Quantity) -> str:
    number = formats.number_format(round(value, 2), use_l10n=True)
    return f"{number}\N{NO-BREAK SPACE}{quantity.unit}"
