"""What pages and files say about how long mends hold; sentences with their own figures."""

import math
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import Any

from django.utils import formats
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from diagnostics.class_words import class_words
from diagnostics.recurrence.holding import FEWEST, Best, Estimate, GroupHolding
from diagnostics.recurrence.survival import LogRank
from diagnostics.selectors import shelf
from plant.days import whole_days
from plant.metering.basis import Basis
from plant.models import Plant
from plant.words import TAKE_UP_WORDS, ZONE_WORDS
from workorders.selectors.mend_lives import GroupedBy, Mend, Mends, Rise, Turn

Words = str | Promise

GROUPED_BY_WORDS: dict[GroupedBy, Words] = {
    GroupedBy.METHOD: gettext_lazy("work method"),
    GroupedBy.FAMILY: gettext_lazy("cause family"),
    GroupedBy.ZONE: gettext_lazy("zone of the belt"),
    GroupedBy.RISE: gettext_lazy("kind of conveyor"),
    GroupedBy.TAKE_UP: gettext_lazy("kind of take-up"),
    GroupedBy.TURN: gettext_lazy("first mend or a later one"),
}
_RISE_WORDS: dict[Rise, Words] = {
    Rise.REVERSING: gettext_lazy("reversing"),
    Rise.INCLINED: gettext_lazy("inclined, one way"),
    Rise.LEVEL: gettext_lazy("level, one way"),
}
_TURN_WORDS: dict[Turn, Words] = {
    Turn.FIRST: gettext_lazy("first mend of the fault"),
    Turn.AGAIN: gettext_lazy("mend of a fault that had come back"),
}
_WORDS_OF: dict[GroupedBy, Mapping[Any, Words]] = {
    GroupedBy.ZONE: ZONE_WORDS,
    GroupedBy.RISE: _RISE_WORDS,
    GroupedBy.TAKE_UP: TAKE_UP_WORDS,
    GroupedBy.TURN: _TURN_WORDS,
}
# A difference that chance would make oftener than this is not called one.
_SURE = 0.05


def group_words(by: GroupedBy, plants: Iterable[Plant]) -> Callable[[str], str]:
    """What a group is called; a method as the first of the plants that knows it calls it."""
    names: dict[str, str] = {}
    if by is GroupedBy.METHOD:
        for plant in plants:
            for method in shelf.shown_library_of(plant.pk).work_methods.values():
                names.setdefault(method.slug, method.name)

    def words(group: str) -> str:
        if not group:
            return _("no method named") if by is GroupedBy.METHOD else _("not known")
        return str(names.get(group) or _wire_words(by, group))

    return words


def _wire_words(by: GroupedBy, group: str) -> Words:
    """A word that an address has and no such group is, stays as it is."""
    if by is GroupedBy.FAMILY:
        return class_words(group)
    if by is GroupedBy.METHOD:
        return group.replace("-", " ")
    known: dict[str, Words] = {one.value: words for one, words in _WORDS_OF[by].items()}
    return known.get(group, group)


def share(figure: float | None) -> str:
    """Whole per cent; what is not certain is never shown as 0 or 100."""
    if figure is None:
        return "–"
    if 0 < figure < 0.01:
        return _("under 1 %")
    if 0.99 < figure < 1:
        return _("over 99 %")
    return f"{formats.number_format(round(100 * figure), 0)} %"


def days(figure: float | None) -> str:
    """Days that are over, as everywhere: a table and the sentence above it say the same."""
    return "–" if figure is None else formats.number_format(whole_days(figure), 0)


def span(figure: float, basis: Basis) -> str:
    """`180 days`, or of 24 running hours each `180 running days`."""
    if basis is Basis.RUNNING:
        words = ngettext("%(n)s running day", "%(n)s running days", whole_days(figure))
    else:
        words = ngettext("%(n)s day", "%(n)s days", whole_days(figure))
    return words % {"n": days(figure)}


def day_heading(day: float, basis: Basis) -> str:
    """`Day 90`: so many days after the proof."""
    words = _("Running day %(day)d") if basis is Basis.RUNNING else _("Day %(day)d")
    return words % {"day": day}


def unit(basis: Basis) -> str:
    """Over a column of durations."""
    return _("running days") if basis is Basis.RUNNING else _("days")


def basis_words(mends: Mends) -> list[str]:
    """What time is counted, and what the meters leave out."""
    if mends.basis is not Basis.RUNNING:
        return [_("Time is calendar days: a belt that stands ages a mend like one that runs.")]
    said = [_("Time is running hours by the meter; a running day is 24 of them.")]
    if mends.unmetered:
        said.append(
            ngettext(
                "%(n)d mend is left out: the meter was not read around its proof run.",
                "%(n)d mends are left out: the meter was not read around their proof runs.",
                mends.unmetered,
            )
            % {"n": mends.unmetered}
        )
    if mends.cut_short:
        said.append(
            ngettext(
                "%(n)d return is not counted: it came after a gap in the meter's readings, and the "
                "mend counts as watched until the gap.",
                "%(n)d returns are not counted: they came after gaps in the meters' readings, and "
                "the mends count as watched until the gaps.",
                mends.cut_short,
            )
            % {"n": mends.cut_short}
        )
    return said


def limits(found: Estimate | None, words: Callable[[float | None], str]) -> str:
    """`71 to 96 %`; a limit that the data do not give is a dash."""
    if found is None or (found.lower is None and found.upper is None):
        return ""
    low, high = words(found.lower), words(found.upper)
    return _("%(low)s to %(high)s") % {"low": low.removesuffix(" %"), "high": high}


def why_no_share(group: GroupHolding, mark: float, basis: Basis) -> str:
    return _("No mend of this group was watched for %(mark)s; the longest for %(longest)s.") % {
        "mark": span(mark, basis),
        "longest": span(group.longest, basis),
    }


def why_no_median() -> str:
    return _(
        "More than half hold at the end of watching, so when half have come back is not known."
    )


def best_words(best: Best, name: Callable[[str], str], family: str, basis: Basis) -> str:
    """Which held best, and how sure that is."""
    said = _("%(group)s held best%(where)s: %(share)s still hold after %(mark)s (%(limits)s).") % {
        "group": _first_upper(name(str(best.group))),
        "where": " " + _("in the family %(family)s") % {"family": class_words(family)}
        if family
        else "",
        "share": share(best.still.value),
        "mark": span(best.mark, basis),
        "limits": limits(best.still, share) or _("limits not known"),
    }
    return f"{said} {_how_sure(best, name)}"


def _how_sure(best: Best, name: Callable[[str], str]) -> str:
    if best.next_group is None:
        return _(
            "No other group has %(few)s mends watched so long, so there is nothing to compare."
        ) % {"few": FEWEST}
    if math.isnan(best.p):
        return _("Whether that is more than chance cannot be told: too little came back.")
    if best.p > _SURE:
        return _(
            "That may well be chance (log-rank p %(p)s over all groups of %(few)s mends or more): "
            "%(next)s, the next, is not shown to be worse."
        ) % {"p": chance(best.p), "few": FEWEST, "next": name(str(best.next_group))}
    return _(
        "The groups differ by more than chance would make them (log-rank p %(p)s over all groups "
        "of %(few)s mends or more); that some are worse is surer than which of two neighbours is."
    ) % {"p": chance(best.p), "few": FEWEST}


def log_rank_words(test: LogRank) -> str:
    if len(test.groups) < 2:
        return _("There is only one group, so nothing is compared.")
    if math.isnan(test.p):
        return _("The groups cannot be compared: nothing came back while two of them were watched.")
    said = {
        "p": chance(test.p),
        "chi2": formats.number_format(round(test.chi2, 2), 2),
        "df": test.df,
    }
    if test.p > _SURE:
        return (
            _(
                "No difference between the groups is shown, small ones included: log-rank p %(p)s, "
                "chi-square %(chi2)s on %(df)s df."
            )
            % said
        )
    return (
        _(
            "All groups together, small ones included, do not hold equally long: log-rank p %(p)s, "
            "chi-square %(chi2)s on %(df)s df."
        )
        % said
    )


def small_words(groups: int) -> str:
    """What stands over the groups too small to judge."""
    return ngettext(
        "%(n)s group with fewer than %(few)s mends: too few to judge",
        "%(n)s groups with fewer than %(few)s mends each: too few to judge",
        groups,
    ) % {"n": groups, "few": FEWEST}


def state_words(mend: Mend, now: datetime) -> str:
    if mend.came_back:
        return _("came back")
    if mend.life.came_back:
        # By the meter it counts as watched until then.
        return _("came back after a gap in the meter's readings")
    if mend.life.watched_until <= now:
        return _("held to the end of the window")
    return _("holds so far")


def chance(p: float) -> str:
    if p < 0.001:
        return _("below 0.001")
    return formats.number_format(round(p, 3), 3)


def _first_upper(text: str) -> str:
    return text[:1].upper() + text[1:]
