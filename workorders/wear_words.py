"""Wear in the reader's language: how a part stands, what to mind about the figures."""

from collections.abc import Iterator
from datetime import date

from django.utils.formats import date_format, number_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from plant.loop.condition import Quantity
from plant.meter_words import figure_words
from workorders.planning.wear import WearRemark, WearState
from workorders.selectors.limits import LimitInForce, Scope
from workorders.selectors.wear import SpotWear

STATE_WORDS: dict[WearState, str | Promise] = {
    WearState.TOO_FEW: gettext_lazy("one reading"),
    WearState.PAST_LIMIT: gettext_lazy("limit met"),
    WearState.NOT_WEARING: gettext_lazy("no wear seen"),
    WearState.WEARING: gettext_lazy("wearing"),
}
_REMARKS: dict[WearRemark, str | Promise] = {
    WearRemark.SET_ASIDE: gettext_lazy(
        "Readings far off the line of the others are set aside; they are marked in the table."
    ),
    WearRemark.LAST_SET_ASIDE: gettext_lazy(
        "The latest reading is far off the line: a slip, or sudden damage. Take it again."
    ),
    WearRemark.RENEWAL_SUSPECTED: gettext_lazy(
        "The readings jumped back towards new, and no renewal is written down. If the part was "
        "renewed, record it; the line then starts there."
    ),
    WearRemark.NO_INTERVAL: gettext_lazy(
        "Two readings make a line but do not say how sure it is; a third gives an interval."
    ),
    WearRemark.SPEEDING_UP: gettext_lazy(
        "It wears faster of late than the line says; the limit may be met earlier. Read it again "
        "soon."
    ),
    WearRemark.SLOWING_DOWN: gettext_lazy(
        "It wears slower of late than the line says; the limit may be met later."
    ),
    WearRemark.LONG_REACH: gettext_lazy(
        "The day is far beyond what was read: more than three times as far ahead as the readings "
        "reach back. Take it as a rough guide."
    ),
}
_GRADES = gettext_lazy(
    "Noise grades are an order, not a measure: from 2 to 3 need not be as far as from 3 to 4. The "
    "line through them is a rough guide; what counts is that the grade goes up."
)
SCOPE_WORDS: dict[Scope, str | Promise] = {
    Scope.COMPONENT: gettext_lazy("set for this component"),
    Scope.CONVEYOR: gettext_lazy("set for this conveyor"),
    Scope.PLANT: gettext_lazy("set for the plant"),
    Scope.USUAL: gettext_lazy("usual figure: engineering judgement, nobody has set one"),
}


def day_words(day: date | None) -> str:
    return "" if day is None else date_format(day, "Y-m-d")


def span_words(lower: date | None, upper: date | None) -> str:
    """The 90 % interval of a day; each end may be open."""
    if lower is None and upper is None:
        return ""
    if upper is None:
        return _("%(day)s or later, the end is not in sight") % {"day": day_words(lower)}
    if lower is None:
        return _("up to %(day)s") % {"day": day_words(upper)}
    return _("%(first)s to %(last)s") % {"first": day_words(lower), "last": day_words(upper)}


def state_words(spot: SpotWear) -> str:
    if spot.wear is None:
        return _("no limit set")
    if not spot.taken:
        return _("nothing read since it was renewed")
    return str(STATE_WORDS[spot.wear.state])


def scope_words(limit: LimitInForce) -> str:
    """Where a limit comes from, or why there is none."""
    if limit.value is None:
        return _("nothing is usual: it depends on the take-up")
    return str(SCOPE_WORDS[limit.scope])


def limit_words(limit: LimitInForce, quantity: Quantity) -> str:
    if limit.value is None:
        return _("none set")
    return figure_words(limit.value, quantity.unit)


def rate_words(spot: SpotWear) -> str:
    """`1.2 mm in 1,000 running hours`, with its 90 % interval where there is one."""
    wear = spot.wear
    if wear is None or wear.rate is None:
        return ""
    unit = spot.key.quantity.unit
    rate = number_format(round(1000 * wear.rate, 3), use_l10n=True)
    grades = _("%(count)s grades") % {"count": rate}
    said = {
        "rate": grades if spot.key.quantity.is_grade else f"{rate}\N{NO-BREAK SPACE}{unit}",
        "hours": _("1,000 running hours") if spot.clock.is_running else _("1,000 calendar hours"),
    }
    if wear.rate_lower is None or wear.rate_upper is None:
        return _("%(rate)s in %(hours)s") % said
    said |= {
        "least": number_format(round(1000 * wear.rate_lower, 3), use_l10n=True),
        "most": number_format(round(1000 * wear.rate_upper, 3), use_l10n=True),
    }
    return _("%(rate)s in %(hours)s (%(least)s to %(most)s)") % said


def remaining_words(spot: SpotWear) -> str:
    """Remaining life in hours of its clock with its interval; empty where none is told."""
    wear = spot.wear
    if wear is None or wear.met_at is None:
        return ""
    hours = _("running hours") if spot.clock.is_running else _("calendar hours")
    left = _left(wear.met_at - spot.now_h)
    if wear.met_lower is None:
        return f"{left} {hours}"
    lower = _left(wear.met_lower - spot.now_h)
    if wear.met_upper is None:
        said = _("%(left)s %(hours)s (%(lower)s to no end in sight)")
        return said % {"left": left, "hours": hours, "lower": lower}
    upper = _left(wear.met_upper - spot.now_h)
    said = _("%(left)s %(hours)s (%(lower)s to %(upper)s)")
    return said % {"left": left, "hours": hours, "lower": lower, "upper": upper}


def basis_words(spot: SpotWear) -> str:
    """By which hours it was counted, and why."""
    if spot.clock.is_running:
        each_day = number_format(round(24 * spot.clock.ahead, 1), use_l10n=True)
        return _(
            "Counted by running hours of the meter; ahead of its last reading it is taken to run "
            "%(hours)s h a day, its average so far."
        ) % {"hours": each_day}
    return _(
        "Counted by the calendar: meter readings of running hours do not cover the time since the "
        "first of these readings."
    )


def remarks_of(spot: SpotWear) -> Iterator[str]:
    """What to mind, in sentences."""
    if spot.renewed_on is not None and spot.older:
        yield ngettext(
            "Counted from the renewal of %(day)s on; %(count)d older reading does not count.",
            "Counted from the renewal of %(day)s on; %(count)d older readings do not count.",
            spot.older,
        ) % {"day": day_words(spot.renewed_on), "count": spot.older}
    if spot.key.quantity.is_grade:
        yield str(_GRADES)
    if spot.wear is None:
        return
    for remark in spot.wear.remarks:
        if remark in _REMARKS:
            yield str(_REMARKS[remark])


def _left(hours: float) -> str:
    if hours < 1:
        return _("none")
    # Hundreds of hours are what such a line can tell; below that, tens.
    step = 100 if hours >= 1000 else 10
    return number_format(max(0, round(hours / step) * step), use_l10n=True, force_grouping=True)
