"""Figures of the engineering check as people write them, with their unit."""

import math

from django.utils import formats
from django.utils.translation import gettext as _

from diagnostics.mechanics.register_check.findings import Bound, Quantity, Unit

_SPACE = "\N{NO-BREAK SPACE}"
# Unit as written, its size in the unit it is computed in, digits behind the point.
_WRITTEN = {
    Unit.METRE: ("m", 1.0, 1),
    Unit.MILLIMETRE: ("mm", 1.0, 0),
    Unit.METRE_PER_SECOND: ("m/s", 1.0, 2),
    Unit.TURNS_PER_MINUTE: ("rpm", 1.0, 0),
    Unit.NEWTON: ("kN", 1000.0, 1),
    Unit.KILOGRAM: ("kg", 1.0, 0),
    Unit.KILOGRAM_PER_METRE: ("kg/m", 1.0, 1),
    Unit.SHARE: ("%", 0.01, 1),
}
# Below this a length has one digit more: a spacing of 1.25 m is not one of 1.3 m.
_SHORT_M = 10.0


def quantity_words(quantity: Quantity) -> str:
    value, unit = quantity.value, quantity.unit
    if unit is Unit.SHARE and value > 1:
        # Of a belt without tension the formula says more than any belt can do.
        return _("more than 100 %")
    if math.isinf(value):
        return _("without bound")
    if unit is Unit.DEGREE:
        return f"{formats.number_format(round(value, 1), 0 if round(value, 1) % 1 == 0 else 1)}°"
    if unit is Unit.NUMBER:
        return formats.number_format(round(value, 3), use_l10n=True)
    word, size, digits = _WRITTEN[unit]
    if unit in (Unit.METRE, Unit.TURNS_PER_MINUTE) and abs(value) < _SHORT_M:
        digits += 1
    # Rounded first: number_format cuts digits off.
    figure = formats.number_format(round(value / size, digits), digits)
    return f"{figure}{_SPACE}{word}"


def bound_words(bound: Bound, quantity: Quantity) -> str:
    """`at least 2.0 kN`."""
    words = quantity_words(quantity)
    if bound is Bound.AT_LEAST:
        return _("at least %(figure)s") % {"figure": words}
    if bound is Bound.AT_MOST:
        return _("at most %(figure)s") % {"figure": words}
    return _("about %(figure)s") % {"figure": words}
