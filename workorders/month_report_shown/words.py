"""The sentences of a month's report, from its figures alone."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import formats
from django.utils.functional import Promise
from django.utils.text import Truncator, capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from workorders.models import MonthlyReport
from workorders.month import Month
from workorders.month_report.changes import LEVEL, Change, Verdict
from workorders.month_report.figures import Counts, Figures

DASH = "\N{EN DASH}"
_UNIT_SPACE = "\N{NO-BREAK SPACE}"
# So many belts are named in the first sentences; the lists have all.
_NAMED = 3
_LONGEST = 64
FAILURE_WORDS: dict[str, str | Promise] = {
    "begun_too_often": gettext_lazy("Three workers ended while they made it. Look into their log."),
    "failed": gettext_lazy("Something went wrong; the log of the worker says what. Make it again."),
}


def month_words(month: Month) -> str:
    """`October 2026`."""
    return capfirst(formats.date_format(month.first, "F Y"))


def file_name(report: MonthlyReport) -> str:
    return f"{report.plant.code}-{report.month.code}.pdf"


def title(told: Figures) -> str:
    return _("Belts in %(month)s") % {"month": month_words(Month.read(told.asked.month))}


def read_at(told: Figures) -> str:
    """When the figures were read, in the plant's own time."""
    local = datetime.fromisoformat(told.asked.as_of).astimezone(ZoneInfo(told.asked.time_zone))
    return f"{formats.date_format(local, 'Y-m-d H:i')}{_UNIT_SPACE}{local:%Z}"


def number(figure: float, decimals: int = 1) -> str:
    """Rounded first: number_format cuts digits off. Whole numbers without a decimal."""
    rounded = round(figure, decimals)
    places = 0 if rounded == int(rounded) else decimals
    return formats.number_format(rounded, places, use_l10n=True, force_grouping=True)


def times(ratio: float) -> str:
    """Two places or three: 0.04 times is not 0 times, and no 230.1 is known to a tenth."""
    decimals = 0 if ratio >= 10 else 1
    return number(ratio, 2 if ratio < 1 else decimals)


def short(text: str, letters: int = _LONGEST) -> str:
    """What people typed, so that two sheets hold it whatever they typed."""
    return Truncator(text).chars(letters)


def day_words(day: str) -> str:
    return formats.date_format(date.fromisoformat(day), "Y-m-d") if day else ""


def hours(figure: float) -> str:
    return f"{number(figure)}{_UNIT_SPACE}h"


def headline(told: Figures) -> list[str]:
    """What a manager reads if nothing else: how many, against the year, who changed."""
    return [one for one in (_counted(told), _against_year(told.compared.plant), _who(told)) if one]


def _counted(told: Figures) -> str:
    counts = told.counts
    ended = {"closed": counts.closed, "open": counts.open_at_end}
    rest = _("%(closed)d closed after a passed proof run, %(open)d still open at its end.") % ended
    if not told.asked.is_whole:
        rest = _("%(closed)d closed after a passed proof run, %(open)d open now.") % ended
    return f"{_opened(counts)} {rest}"


def _opened(counts: Counts) -> str:
    if not counts.opened:
        return _("No case was opened;")
    opened = ngettext("%(n)d case was opened", "%(n)d cases were opened", counts.opened)
    said = opened % {"n": counts.opened}
    if not counts.repeats:
        return _("%(opened)s, none of them a fault that came back;") % {"opened": said}
    back = ngettext(
        "%(n)d of them a fault that came back",
        "%(n)d of them faults that came back",
        counts.repeats,
    )
    return f"{said}, {back % {'n': counts.repeats}};"


def _against_year(plant: Change) -> str:
    if plant.earlier + plant.later == 0:
        return _("There was none in the twelve months before either.")
    if plant.verdict == Verdict.UNKNOWN:
        return _("There is no year before it yet to hold it against.")
    told = {"how": how_often(plant)}
    if plant.verdict == Verdict.WORSE:
        return _("That is more than in the twelve months before: %(how)s.") % told
    if plant.verdict == Verdict.BETTER:
        return _("That is less than in the twelve months before: %(how)s.") % told
    return _("Against the twelve months before that is no clear change: %(how)s.") % told


def _who(told: Figures) -> str:
    worse, better = (names_of(told, one) for one in (Verdict.WORSE, Verdict.BETTER))
    if not worse and not better:
        return _("No belt changed by more than chance explains.") if told.compared.belts else ""
    said = []
    if worse:
        said.append(_("Got worse: %(belts)s.") % {"belts": _named(worse)})
    if better:
        said.append(_("Got better: %(belts)s.") % {"belts": _named(better)})
    return " ".join(said)


def names_of(told: Figures, verdict: Verdict) -> list[str]:
    return [one.name for one in told.compared.belts if one.verdict == verdict]


def _named(names: list[str]) -> str:
    shown = ", ".join(names[:_NAMED])
    more = len(names) - _NAMED
    return shown if more <= 0 else _("%(shown)s and %(more)d more") % {"shown": shown, "more": more}


def how_often(change: Change) -> str:
    """`2.1 times as often (1.2 to 3.6)`; of a one-sided limit only the side that there is."""
    lower, upper = (None if one is None else times(one) for one in (change.lower, change.upper))
    if change.ratio is None:
        return _("at least %(lower)s times as often") % {"lower": lower}
    if change.ratio == 0:
        return _("at most %(upper)s times as often") % {"upper": upper}
    told = {"ratio": times(change.ratio), "lower": lower, "upper": upper}
    return _("%(ratio)s times as often (%(lower)s to %(upper)s)") % told


def cases_words(count: int) -> str:
    if not count:
        return _("no case")
    return ngettext("%(n)d case", "%(n)d cases", count) % {"n": count}


def level_words() -> str:
    return number(100 * LEVEL) + _UNIT_SPACE + "%"
