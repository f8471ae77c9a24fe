"""Shifts in the reader's language, with the conveyor's own words for its sides."""

from django.utils import formats, timezone
from django.utils.translation import gettext as _

from plant.loop.vocabulary import Side
from plant.models import Conveyor
from workorders.models import ShiftMade
from workorders.shift_choices import END_WORDS, MOVED_WORDS, WAY_WORDS
from workorders.shift_ways import End, Moved, Way

_UNIT_SPACE = "\N{NO-BREAK SPACE}"


def end_words(end: End | str, conveyor: Conveyor) -> str:
    """`right end (sea side)`."""
    words = str(END_WORDS[End(end)])
    own = "" if End(end) is End.BOTH else conveyor.words_for(Side(end))
    return f"{words} ({own})" if own else words


def mm_words(mm: float) -> str:
    """`2.5 mm`, without a tenth that is none."""
    return f"{formats.number_format(round(mm, 1) if mm % 1 else round(mm))}{_UNIT_SPACE}mm"


def how_words(end: End | str, way: Way | str, mm: float, conveyor: Conveyor) -> str:
    """`right end (sea side) 3 mm with belt travel`."""
    return f"{end_words(end, conveyor)} {mm_words(mm)} {WAY_WORDS[Way(way)]}"


def thing_words(station: str, moved: Moved | str) -> str:
    return f"{station}, {MOVED_WORDS[Moved(moved)]}"


def reverse_words(shift: ShiftMade, conveyor: Conveyor) -> str:
    """One step that brings a shift back, exactly."""
    moment = timezone.localtime(shift.made_at, conveyor.plant.zone_info)
    return _("%(thing)s: move the %(back)s. On %(day)s it was moved %(mm)s %(way)s%(who)s.") % {
        "thing": thing_words(shift.station, shift.moved),
        "back": how_words(shift.end, Way(shift.way).reverse, shift.moved_mm, conveyor),
        "day": formats.date_format(moment, "Y-m-d"),
        "mm": mm_words(shift.moved_mm),
        "way": WAY_WORDS[Way(shift.way)],
        "who": _(" by %(name)s") % {"name": shift.made_by} if shift.made_by else "",
    }


def skew_words(mm: float) -> str:
    """What ends that were shifted apart do to the belt; empty for nothing.

    A roll whose right end is ahead in belt travel drives the belt left
    (`diagnostics/mechanics/__init__.py`).
    """
    if round(mm, 1) == 0:
        return ""
    ahead, driven = (Side.RIGHT, Side.LEFT) if mm > 0 else (Side.LEFT, Side.RIGHT)
    return _("%(ahead)s end ahead by %(mm)s: steers the belt to the %(driven)s") % {
        "ahead": _(ahead.value),
        "mm": mm_words(abs(mm)),
        "driven": _(driven.value),
    }
