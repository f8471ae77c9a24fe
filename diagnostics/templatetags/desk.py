"""Small words and measures of the desk's pages."""

import math
from typing import Any

from django import template
from django.utils import formats
from django.utils.translation import gettext as _

from diagnostics.class_words import class_words
from diagnostics.inference import explain
from diagnostics.inference.vocabulary import Pattern
from diagnostics.models import Sighting
from diagnostics.selectors import loop_ribbon
from plant.models import Conveyor
from plant.templatetags.sheet import metres, side_words

register = template.Library()

# A place known to less than this has no bounds worth telling. [m]
_SAME_M = 0.2


@register.filter
def bar_width(share: float | None) -> str:
    """Width of a bar of 100, with a point whatever the language: SVG knows no comma."""
    return f"{100 * min(max(share or 0.0, 0.0), 1.0):.1f}"


@register.filter
def seen_words(sighting: Sighting, conveyor: Conveyor) -> str:
    return loop_ribbon.seen_words(sighting, conveyor)


@register.filter
def is_beyond(sighting: Sighting, conveyor: Conveyor) -> bool:
    """An unlikely reading: the belt would have touched the structure."""
    return sighting.offset_mm is not None and abs(sighting.offset_mm) > conveyor.clearance_mm


@register.filter
def reasons_shown(entry: dict[str, Any]) -> list[str]:
    """What speaks for an entry; the sum in words gives way to its table where that is kept."""
    reasons: list[str] = entry.get("reasons", [])
    return reasons[:-1] if entry.get("sum") else reasons


@register.filter
def times_words(factor: float) -> str:
    """A factor of a sum, "× 3.2"."""
    return explain.times(factor)


@register.filter
def odds_words(odds: float) -> str:
    return explain.odds(math.log(max(odds, 1e-300)))


@register.filter
def odds_of_share(share: float) -> str:
    """Odds of a probability, "1 to 4" for 0.2."""
    return odds_words(share / max(1 - share, 1e-15))


@register.filter
def bits(information: float) -> str:
    """How much an answer would tell, to two digits."""
    if information < 0.01:
        return _("worth under 0.01 bit")
    digits = 2 if information < 1 else 1
    return _("worth %s bit") % formats.number_format(round(information, digits), digits)


@register.filter
def kind_words(kind: str) -> str:
    return _(kind.replace("_", " "))


@register.filter
def class_name(cause_class: str) -> str:
    return str(class_words(cause_class))


@register.filter
def pattern_words(pattern: str) -> str:
    """What a pattern means to whoever has not read the handbook."""
    return {
        Pattern.FIXED.value: _("fixed in place: a component or the structure, not the belt"),
        Pattern.TRAVELLING.value: _("travelling with the belt: the belt itself"),
        Pattern.LOAD_DEPENDENT.value: _("load-dependent: how the material lands"),
        Pattern.START_STOP.value: _("start-stop: moves over when starting or stopping"),
        Pattern.ERRATIC.value: _("erratic: no pattern was found"),
        Pattern.CENTRED.value: _("centred wherever it was looked at"),
    }.get(pattern, pattern)


@register.filter
def drive_words(entry: dict[str, Any], conveyor: Conveyor) -> str:
    """To which side a suspected cause drives the belt, how much, and how well its place is known.

    `entry` is one of the answer's ranked entries.
    """
    said = []
    if entry.get("side"):
        said.append(_("drives the belt to the %s") % side_words(entry["side"], conveyor))
    if entry.get("bows_to"):
        said.append(_("the structure bows to the %s") % side_words(entry["bows_to"], conveyor))
    if entry.get("size"):
        # Two figures: more would claim what the looks do not tell.
        digits = 0 if entry["size"] >= 10 else 1
        size = formats.number_format(round(entry["size"], digits), digits)
        said.append(_("about %(size)s %(unit)s") % {"size": size, "unit": entry["size_unit"]})
    lower, upper = entry.get("position_lower_m"), entry.get("position_upper_m")
    if lower is not None and upper is not None and upper - lower > _SAME_M:
        said.append(
            _("somewhere from %(lower)s to %(upper)s")
            % {"lower": metres(lower), "upper": metres(upper)}
        )
    if entry.get("belt_position_m") is not None:
        place = metres(entry["belt_position_m"])
        said.append(_("on the belt, %s from the reference splice") % place)
    return "; ".join(said)
