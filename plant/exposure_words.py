"""Exposure in the reader's language: amounts, rates, and what is not known of the time.

The one owner of these words; a rate is told in `Basis.rate_per` of its exposure.
"""

from zoneinfo import ZoneInfo

from django.utils import formats
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from plant.meter_words import when_words
from plant.metering.basis import Basis
from plant.metering.clocks import Gap
from plant.metering.unknowns import Unknown

_SPACE = "\N{NO-BREAK SPACE}"
# What an address says, and the words of the choice.
PER_CHOICES: list[tuple[str, str | Promise]] = [
    ("", gettext_lazy("the usual exposure")),
    (Basis.RUNNING.value, gettext_lazy("running hours")),
    (Basis.TONNES.value, gettext_lazy("tonnes")),
    (Basis.CALENDAR.value, gettext_lazy("calendar time")),
]


def basis_asked(per: str) -> Basis | None:
    """What an address asks for; None for the usual."""
    return Basis(per) if per else None


def amount_words(amount: float, basis: Basis) -> str:
    """`4,100 running hours`, `2,300,000 t`, `548 days`."""
    rounded = round(amount)
    number = _number(rounded, 0)
    if basis is Basis.TONNES:
        return f"{number}{_SPACE}t"
    if basis is Basis.RUNNING:
        words = ngettext("%(n)s running hour", "%(n)s running hours", rounded)
    else:
        words = ngettext("%(n)s day", "%(n)s days", rounded)
    return words % {"n": number}


def rate_figure(rate: float, basis: Basis) -> str:
    """Of a rate in events per h, t or d: the figure alone, in three places at most."""
    return significant(rate * basis.rate_per)


def rate_words(rate: float, basis: Basis) -> str:
    """Of a rate in events per h, t or d: `1.46 in 1,000 running hours`."""
    return {
        Basis.RUNNING: _("%(rate)s in 1,000 running hours"),
        Basis.TONNES: _("%(rate)s in 100,000\N{NO-BREAK SPACE}t"),
        Basis.CALENDAR: _("%(rate)s a year"),
    }[basis] % {"rate": rate_figure(rate, basis)}


def limits_words(lower: float, upper: float, basis: Basis) -> str:
    """Of two rates in events per h, t or d: `0.355 to 6.30`, in the size of `rate_figure`."""
    told = {"lower": rate_figure(lower, basis), "upper": rate_figure(upper, basis)}
    return _("%(lower)s to %(upper)s") % told


def rate_heading(basis: Basis) -> str:
    """Over a column of rates."""
    return {
        Basis.RUNNING: _("Cases in 1,000 running hours"),
        Basis.TONNES: _("Cases in 100,000\N{NO-BREAK SPACE}t"),
        Basis.CALENDAR: _("Cases a year (calendar)"),
    }[basis]


def significant(figure: float) -> str:
    """As many places as small counts can bear: `0.042`, `1.46`, `123`."""
    size = abs(figure)
    decimals = next((few for few in range(3) if size >= 100 / 10**few), 3)
    while 0 < size < 10.0**-decimals and decimals < 6:
        decimals += 1
    return _number(figure, decimals)


def basis_words(basis: Basis) -> str:
    """What exposure is, as a sentence."""
    return {
        Basis.RUNNING: _("Exposure is running hours by the meter."),
        Basis.TONNES: _("Exposure is tonnes carried, by the meter."),
        Basis.CALENDAR: _(
            "Exposure is calendar time: a belt counts for every day of the period, whether it ran "
            "or not."
        ),
    }[basis]


def gap_words(gap: Gap, zone: ZoneInfo) -> str:
    """Which time is not known and why, as a sentence."""
    told = {
        "first": when_words(gap.first, zone),
        "last": when_words(gap.last, zone),
        "days": _days_words(gap.days),
    }
    return {
        Unknown.NO_READINGS: _("No meter reading is kept: nothing is known of %(days)s."),
        Unknown.BEFORE_FIRST: _(
            "The meter was not read from %(first)s to %(last)s (%(days)s), "
            "before the first reading."
        ),
        Unknown.AFTER_LAST: _(
            "The meter was not read from %(first)s to %(last)s (%(days)s), after the last reading."
        ),
        Unknown.NOT_READ: _(
            "From %(first)s to %(last)s (%(days)s) nothing is known: the meter was "
            "replaced and nobody had read it before it went."
        ),
    }[gap.why] % told


def left_out_words(cases: int) -> str:
    """What a gap costs, as a sentence; empty where it costs nothing."""
    if not cases:
        return ""
    return ngettext(
        "%(n)d case in it is left out of the rate.",
        "%(n)d cases in it are left out of the rate.",
        cases,
    ) % {"n": cases}


def _days_words(days: float) -> str:
    # A tenth of a day says something of a short time alone.
    rounded = round(days, 1) if days < 10 else round(days)
    is_whole = rounded == round(rounded)
    words = ngettext("%(n)s day", "%(n)s days", round(rounded) if is_whole else 2)
    return words % {"n": _number(rounded, 0 if is_whole else 1)}


def _number(figure: float, decimals: int) -> str:
    return formats.number_format(
        round(figure, decimals), decimals, use_l10n=True, force_grouping=True
    )
