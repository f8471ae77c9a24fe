"""What is said about a belt's recurring faults: each figure, and how it comes about.

The one owner of these sentences, two to each figure: pages, files and papers all say the same. A
figure that the data cannot say is a dash, and its sentences say why.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils import formats
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from diagnostics import reckoning_words
from diagnostics.class_words import class_words
from diagnostics.models import BeltFaults, FaultReckoning
from diagnostics.recurrence.faults.detail import BeltDetail
from plant import exposure_words
from plant.metering.basis import Basis

DASH = "\N{EN DASH}"
_SPACE = "\N{NO-BREAK SPACE}"
# Signs beside the words, never instead of them.
_SIGNS = {1: "\N{BLACK UP-POINTING TRIANGLE}", -1: "\N{BLACK DOWN-POINTING TRIANGLE}", 0: "="}
TREND_WORDS: dict[int, str | Promise] = {
    1: gettext_lazy("getting worse"),
    -1: gettext_lazy("getting better"),
    0: gettext_lazy("no trend"),
}
# From here on a person should look; below, an ordinary belt with bad luck is as likely.
SURE_ENOUGH = 0.8


@dataclass(frozen=True)
class Figure:
    """One figure of a belt; `note` stands small beneath, `said` explains it.

    What is wanting, figure or note, waits for a person.
    """

    slug: str
    shown: str
    said: tuple[str, str]
    note: str = ""
    sign: str = ""
    is_wanting: bool = False
    is_note_wanting: bool = False

    @property
    def is_known(self) -> bool:
        return self.shown != DASH


def figures_of(belt: BeltFaults, reckoning: FaultReckoning) -> dict[str, Figure]:
    """All figures of a row in the order in which they stand; its conveyor is at hand."""
    made: Iterable[Callable[[BeltFaults, FaultReckoning], Figure]] = (
        cases,
        lost_hours,
        fair_rate,
        worse,
        trend,
        leading,
    )
    return {figure.slug: figure for figure in (one(belt, reckoning) for one in made)}


def cases(belt: BeltFaults, _reckoning: FaultReckoning) -> Figure:
    repeats = (
        ngettext("%(n)d repeat", "%(n)d repeats", belt.repeats) % {"n": belt.repeats}
        if belt.repeats
        else ""
    )
    opened = ngettext(
        "%(n)d case was opened in the period, %(r)d of it a repeat: the same cause family was back "
        "within the plant's window after a passed proof run.",
        "%(n)d cases were opened in the period, %(r)d of them repeats: the same cause family was "
        "back within the plant's window after a passed proof run.",
        belt.events,
    )
    return Figure(
        "cases",
        str(belt.events),
        (
            opened % {"n": belt.events, "r": belt.repeats},
            _("Cases that were no mistracking, or were cancelled, are not counted."),
        ),
        note=repeats,
        is_note_wanting=belt.repeats > 0,
    )


def lost_hours(belt: BeltFaults, _reckoning: FaultReckoning) -> Figure:
    said, unsaid = belt.events - belt.lost_hours_unsaid, belt.lost_hours_unsaid
    note = ngettext("%(n)d case unsaid", "%(n)d cases unsaid", unsaid) % {"n": unsaid}
    if belt.events and not said:
        why = _("Nobody has said for any of its cases how many hours were lost.")
        to_do = _("Note them on the page of each case; 0 is an answer, too.")
        return Figure("lost", DASH, (why, to_do), note=note, is_note_wanting=True)
    hours = f"{number(belt.lost_hours, 1)}{_SPACE}h"
    return Figure(
        "lost",
        hours,
        (_summed(belt, said, hours), _lost_beside(unsaid)),
        note=note if unsaid else "",
        is_note_wanting=unsaid > 0,
    )


def _summed(belt: BeltFaults, said: int, hours: str) -> str:
    """With what they cost, where the register knows it of an hour."""
    costs: Decimal | None = belt.conveyor.hour_costs
    told = {"hours": hours, "n": said}
    if costs is None:
        words = ngettext(
            "%(hours)s is what was noted for %(n)d case.",
            "%(hours)s is the sum of what was noted for %(n)d cases.",
            said,
        )
        return words % told
    told |= {"hour": number(float(costs), 0), "all": number(float(costs) * belt.lost_hours, 0)}
    words = ngettext(
        "%(hours)s is what was noted for %(n)d case; at %(hour)s for an hour down that is %(all)s.",
        "%(hours)s is the sum of what was noted for %(n)d cases; at %(hour)s for an hour down that "
        "is %(all)s.",
        said,
    )
    return words % told


def _lost_beside(unsaid: int) -> str:
    if not unsaid:
        return _("Every case of the period has an answer.")
    return ngettext(
        "For %(n)d more case nobody has said it, so the true sum is this or more.",
        "For %(n)d more cases nobody has said it, so the true sum is this or more.",
        unsaid,
    ) % {"n": unsaid}


def fair_rate(belt: BeltFaults, reckoning: FaultReckoning) -> Figure:
    if belt.shrunk is None or belt.lower is None or belt.upper is None or belt.rate is None:
        return Figure("rate", DASH, _no_rate(belt, reckoning), note=_("exposure not known"))
    basis, detail = Basis(reckoning.basis), BeltDetail.of_json(belt.detail)
    own = ngettext(
        "%(n)d case in %(exposure)s is %(rate)s.",
        "%(n)d cases in %(exposure)s are %(rate)s.",
        detail.counted,
    ) % {
        "n": detail.counted,
        "exposure": exposure_words.amount_words(belt.exposure or 0.0, basis),
        "rate": rate_words(belt.rate, basis),
    }
    if belt.unknown_days >= 1:
        own += " " + _days_left_out(round(belt.unknown_days))
    return Figure(
        "rate",
        rate_words(belt.shrunk, basis),
        (own, _drawn(belt, basis)),
        note=" · ".join(filter(None, (between(belt.lower, belt.upper), _left_out(detail)))),
    )


def _days_left_out(days: int) -> str:
    return ngettext(
        "(%(days)s day without readings is left out.)",
        "(%(days)s days without readings are left out.)",
        days,
    ) % {"days": number(days, 0)}


def _left_out(detail: BeltDetail) -> str:
    count = detail.left_out
    words = ngettext("%(n)d case left out", "%(n)d cases left out", count)
    return words % {"n": count} if count else ""


def _drawn(belt: BeltFaults, basis: Basis) -> str:
    assert belt.shrunk is not None
    assert belt.rate is not None
    told = {"fair": rate_words(belt.shrunk, basis), "limits": between(belt.lower, belt.upper)}
    if belt.probability_worse is None:
        return (
            _(
                "The plant's belts differ no more than chance would make them, so each gets the "
                "rate of all together: %(fair)s, %(limits)s with 90 %% certainty."
            )
            % told
        )
    if belt.shrunk < belt.rate:
        words = _(
            "Drawn toward the plant's usual rate, because a part of many cases is bad luck, it is "
            "%(fair)s, %(limits)s with 90 %% certainty."
        )
    else:
        words = _(
            "Drawn toward the plant's usual rate, because a part of few cases is good luck, it is "
            "%(fair)s, %(limits)s with 90 %% certainty."
        )
    return words % told


def worse(belt: BeltFaults, reckoning: FaultReckoning) -> Figure:
    if belt.probability_worse is None:
        return Figure("worse", DASH, _not_told(belt, reckoning))
    share = percent(belt.probability_worse)
    is_sure = belt.probability_worse >= SURE_ENOUGH
    said = _(
        "With a probability of %(share)s its true rate lies above 1.5 times the plant's usual one, "
        "the median of its belts."
    ) % {"share": share}
    if is_sure:
        meant = _("That is hardly bad luck: the belt is worth an engineer's time.")
    elif belt.probability_worse >= 0.5:
        meant = _("More likely than not it is worse, yet it may have been bad luck.")
    else:
        meant = _("It is as likely an ordinary belt that had bad luck.")
    return Figure("worse", share, (said, meant), is_wanting=is_sure)


def trend(belt: BeltFaults, _reckoning: FaultReckoning) -> Figure:
    if belt.trend_p is None:
        few = _("Fewer than three cases with a known time of running make no course.")
        return Figure("trend", DASH, (few, _("Wait, or choose a longer period.")))
    told = {"p": chance(belt.trend_p), "shape": number(belt.trend_shape or 0.0, 2)}
    if belt.trend > 0:
        seen = _("Its cases come closer and closer together: power-law shape %(shape)s, above 1.")
    elif belt.trend < 0:
        seen = _("Its cases come further and further apart: power-law shape %(shape)s, below 1.")
    else:
        seen = _("Its cases come neither closer nor further apart than chance would have it.")
    if belt.trend_shape is None:
        seen = seen.partition(":")[0].rstrip(".") + "."
    how = _(
        "Chance alone makes so uneven a course with a probability of %(p)s, allowing for looking "
        "at many belts at once."
    )
    return Figure(
        "trend",
        str(TREND_WORDS[belt.trend]),
        (seen % told, how % told),
        sign=_SIGNS[belt.trend],
        is_wanting=belt.trend > 0,
    )


def leading(belt: BeltFaults, _reckoning: FaultReckoning) -> Figure:
    unknown = unknown_cases(belt)
    left = (
        ngettext(
            "For %(n)d case nobody has confirmed a cause yet.",
            "For %(n)d cases nobody has confirmed a cause yet.",
            unknown,
        )
        % {"n": unknown}
        if unknown
        else _("Every case of the period has a confirmed cause.")
    )
    if not belt.leading_family:
        none = _("No case of the period has a confirmed cause.")
        way = _("Walk the belt and accept the cause on the page of its case.")
        return Figure("cause", DASH, (none, way), note=_("not known yet"), is_note_wanting=True)
    known = belt.events - unknown
    told = {"n": belt.leading_events, "known": known, "family": class_words(belt.leading_family)}
    share = _("%(n)d of %(known)d known") % told
    said = ngettext(
        "%(n)d of the %(known)d case with a confirmed cause belongs to: %(family)s.",
        "%(n)d of the %(known)d cases with a confirmed cause belong to: %(family)s.",
        known,
    )
    return Figure("cause", str(told["family"]), (said % told, left), note=share)


def unknown_cases(belt: BeltFaults) -> int:
    """Cases of a row whose cause nobody has confirmed."""
    families = dict(BeltDetail.of_json(belt.detail).families)
    return families.get("", 0)


def _no_rate(belt: BeltFaults, reckoning: FaultReckoning) -> tuple[str, str]:
    why = BeltDetail.of_json(belt.detail).why_unknown
    if Basis(reckoning.basis) is Basis.CALENDAR:
        return (
            _("The belt was not in the register on any day of the period."),
            _("Choose a longer period."),
        )
    nothing = _("Nothing is known to divide its cases by.")
    if why:
        nothing = f"{nothing[:-1]}: {reckoning_words.why_unknown_words(why)}"
    return nothing, _("Read its meters, or choose calendar time.")


def _not_told(belt: BeltFaults, reckoning: FaultReckoning) -> tuple[str, str]:
    if belt.shrunk is None:
        return _no_rate(belt, reckoning)
    return (
        _("The plant's belts differ no more than chance would make them."),
        _("With more belts or a longer period one may stand out."),
    )


def rate_words(rate: float, basis: Basis) -> str:
    """Of a kept rate, which is in `Basis.rate_per`: `1.46 in 1,000 running hours`."""
    return exposure_words.rate_words(rate / basis.rate_per, basis)


def between(lower: float | None, upper: float | None) -> str:
    if lower is None or upper is None:
        return ""
    return _("%(lower)s to %(upper)s") % {
        "lower": exposure_words.significant(lower),
        "upper": exposure_words.significant(upper),
    }


def number(figure: float, decimals: int) -> str:
    """Rounded first, since number_format cuts digits off; no empty decimals of whole hours."""
    rounded = round(figure, decimals)
    if decimals == 1 and rounded == int(rounded):
        decimals = 0
    return formats.number_format(rounded, decimals, use_l10n=True, force_grouping=True)


def percent(share: float) -> str:
    """Whole per cent; what is not certain is never shown as 0 or 100."""
    if 0 < share < 0.01:
        return _("under 1 %")
    if 0.99 < share < 1:
        return _("over 99 %")
    return f"{round(share * 100)}{_SPACE}%"


def chance(p: float) -> str:
    return _("below 0.001") if p < 0.001 else number(p, 3 if p < 0.01 else 2)
