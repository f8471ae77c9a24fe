"""The tension along the loop as the engineering check shows it: drawn, and place by place."""

import math
from collections.abc import Iterator

import numpy as np
from django.utils.translation import gettext as _

from diagnostics.mechanics.register_check.tension_checks import Tensions
from diagnostics.mechanics.register_check.tension_profile import TensionProfile
from diagnostics.register_check_charts import ChartWords, Place, tension_chart
from plant.chart_view import NARROW_PX, ChartView

_WIDE_PX = 860


def tension_view(tensions: Tensions, empty: TensionProfile, *, is_reversing: bool) -> ChartView:
    words = ChartWords(
        position=_("loop position [m]"),
        tension=_("tension [kN]"),
        place=_("place"),
        empty=_("empty [kN]"),
        loaded=_("full load [kN]"),
    )
    places = _places(empty, tensions.loaded)
    wide, narrow = (
        tension_chart(tensions, words, places, width=px) for px in (_WIDE_PX, NARROW_PX)
    )
    return ChartView(
        "tension",
        _("Tension along the loop"),
        wide,
        *_table(places, words),
        " ".join(_how_to_read(tensions, is_reversing=is_reversing)),
        narrow_spec=narrow,
        zooms=True,
    )


def _table(
    places: list[Place], words: ChartWords
) -> tuple[list[str], list[list[str | float | None]]]:
    is_loaded = any(one.loaded is not None for one in places)
    header = [words.place, words.position, words.empty]
    rows: list[list[str | float | None]] = [
        [one.name, one.at, one.empty, *([one.loaded] if is_loaded else [])] for one in places
    ]
    return [*header, *([words.loaded] if is_loaded else [])], rows


def _how_to_read(tensions: Tensions, *, is_reversing: bool) -> Iterator[str]:
    if tensions.loaded is not None:
        yield _("Full line: full load. Broken line: empty.")
    else:
        yield _("Broken line: empty; with a registered capacity the loaded belt is drawn too.")
    yield _("Dotted bars: tension for 2 % of sag at each group of sets.")
    if any(one.asks for one in tensions.sag_limits):
        yield _("Thick amber bars: there the belt has less.")
    yield _("Computed from the take-up round the loop after ISO 5048, main and slope resistance; "
            "not measured.")  # fmt: skip
    if is_reversing:
        yield _("The belt reverses; this is forward running.")


def _places(empty: TensionProfile, loaded: TensionProfile | None) -> list[Place]:
    """Each pulley with the tensions there; behind a drive once more."""
    named = [(_("leaving the tail"), 0.0)]
    for part in empty.loop.pulleys:
        words = _("meeting %(name)s") if part in empty.drives else _("at %(name)s")
        named.append((words % {"name": part.name}, part.first_m))
        if part in empty.drives:
            behind = _("leaving %(name)s") % {"name": part.name}
            named.append((behind, math.nextafter(part.first_m, math.inf)))
    at = np.array([position_m for _words, position_m in named])
    bare = empty.at_n(at) / 1000
    full = [None] * len(named) if loaded is None else [float(one) for one in loaded.at_n(at) / 1000]
    return [
        Place(words, round(position_m, 3), round(float(one), 3), other and round(other, 3))
        for (words, position_m), one, other in zip(named, bare, full, strict=True)
    ]
