"""Meters in the reader's language: refusals, and why an amount is not known."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils import formats
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant.loop.condition import Quantity
from plant.metering.amounts import Amount
from plant.metering.plausibility import Fault, ImplausibleReading
from plant.metering.readings import Lack, MeterQuantity, rise
from plant.metering.unknowns import Unknown

# Each lack with the field that answers for it.
LACK_WORDS: dict[Lack, tuple[str, str | Promise]] = {
    Lack.FIGURE: (
        "reading",
        gettext_lazy("Give what the meter shows; only a replaced meter may have gone unread."),
    ),
    Lack.DIGITS: ("digits", gettext_lazy("Say how many whole digits the meter has.")),
    Lack.NEW_FIRST: (
        "new_meter_first",
        gettext_lazy("Give what the new meter showed when it was fitted."),
    ),
    Lack.DIGITS_UNASKED: (
        "digits",
        gettext_lazy("Say that the meter rolled over, or leave this empty."),
    ),
    Lack.NEW_FIRST_UNASKED: (
        "new_meter_first",
        gettext_lazy("Say that the meter was replaced, or leave this empty."),
    ),
}


def figure_words(figure: float, unit: str) -> str:
    """`12,345.6 h`: no more decimals than there are; a grade is `grade 3`."""
    decimals = next((few for few in (0, 1, 2) if round(figure, few) == round(figure, 3)), 3)
    number = formats.number_format(round(figure, 3), decimals, use_l10n=True, force_grouping=True)
    if unit == Quantity.NOISE_GRADE.unit:
        return _("grade\N{NO-BREAK SPACE}%(number)s") % {"number": number}
    return f"{number}\N{NO-BREAK SPACE}{unit}"


def when_words(at: datetime, zone: ZoneInfo) -> str:
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M}"


def fault_words(error: ImplausibleReading, quantity: MeterQuantity, zone: ZoneInfo) -> str:
    """The refusal in a sentence that names both readings."""
    if error.before is None:
        return _(
            "No earlier reading is kept that the meter could have rolled over from. Write the "
            "first reading down as usual."
        )
    words = _fault_sentences()[error.fault]
    told = {
        "then": when_words(error.reading.at, zone),
        "now": figure_words(error.reading.figure or 0, quantity.unit),
        "when": when_words(error.before.at, zone),
        "was": figure_words(error.before.goes_on_from, quantity.unit),
        "digits": error.reading.digits,
        "limit": figure_words(round(error.limit or 0, 1), quantity.unit),
        "rise": figure_words(rise(error.before, error.reading) or 0, quantity.unit),
    }
    return words % told


def _fault_sentences() -> dict[Fault, str]:
    return {
        Fault.BACKWARDS: _(
            "The meter showed %(was)s on %(when)s and %(now)s on %(then)s: it would have gone "
            "backwards. If it rolled over or was replaced, say so; else one of the two is wrong."
        ),
        Fault.NOT_ROLLED_OVER: _(
            "The meter showed %(was)s on %(when)s and %(now)s on %(then)s; after rolling over it "
            "would show less than before."
        ),
        Fault.BEYOND_DIGITS: _(
            "The meter showed %(was)s on %(when)s; a meter with %(digits)s whole digits cannot."
        ),
        Fault.MORE_THAN_THE_CLOCK: _(
            "From %(was)s on %(when)s to %(now)s on %(then)s are %(rise)s of running, yet only "
            "%(limit)s went by: no belt runs more than 24 h a day."
        ),
    }


def unknown_words(amount: Amount, zone: ZoneInfo) -> str:
    """Why there is no figure; empty when there is one."""
    if amount.unknown is None:
        return ""
    when = when_words(amount.at, zone) if amount.at else ""
    return {
        Unknown.NO_READINGS: _("No meter reading is kept."),
        Unknown.BEFORE_FIRST: _("Nothing is known before the first reading, of %(when)s."),
        Unknown.AFTER_LAST: _("Nothing is known after the last reading, of %(when)s."),
        Unknown.NOT_READ: _("The meter replaced on %(when)s had not been read before it went."),
    }[amount.unknown] % {"when": when}
