"""On a belt's page of recurring faults: each mend that passed its proof, and how long it held."""

from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.belt_trend.parts import BuiltPart
from diagnostics.class_words import class_words
from diagnostics.recurrence.holding import median_of, share_at
from diagnostics.recurrence.survival import Survival, kaplan_meier
from diagnostics.selectors.belt_faults import BeltStudy
from plant import access
from plant.chart_view import Cell, ChartView, Linked
from plant.days import whole_days
from workorders import belt_mend_chart, mend_words
from workorders.belt_mend_chart import Bar
from workorders.models import WorkOrder
from workorders.selectors.mend_lives import GroupedBy, Mend, mends_of

# More bars than a screen or two nobody compares; the table has all mends.
_BARS = 24
_MARK_DAYS = 90.0
_LEVEL = 0.90


def build(study: BeltStudy) -> BuiltPart:
    """Orders that failed their proof are counted, for they never began to hold."""
    heading = _("Mends, and how long they held")
    orders = access.visible(WorkOrder.objects.all(), study.user).filter(conveyor=study.conveyor)
    found = mends_of(orders, study.period, GroupedBy.METHOD, study.now)
    newest_first = found.rows[::-1]
    if not newest_first:
        return BuiltPart(heading, header=_header(), missing=_nothing(), notes=_failed(found))
    name = mend_words.group_words(GroupedBy.METHOD, [study.conveyor.plant])
    bars = [_bar(mend, name(mend.group)) for mend in newest_first[:_BARS]]
    window_days = float(study.conveyor.plant.recurrence_window_days)
    chart = ChartView(
        slug="mends",
        heading=heading,
        lead=_lead(newest_first),
        spec=belt_mend_chart.spec_of(bars, window_days),
        narrow_spec=belt_mend_chart.spec_of(bars, window_days, is_narrow=True),
        header=_header(),
        rows=[_row(mend, name(mend.group), study) for mend in newest_first],
        caption=_caption(study),
        file_address=study.file_address("mends"),
    )
    return BuiltPart(heading, chart=chart, notes=[*_not_drawn(newest_first), *_failed(found)])


def _nothing() -> str:
    return _(
        "No mend of this belt passed its proof in this period. A mend counts once its order is "
        "proved: watch the proof runs that are owed, or choose a longer period."
    )


def _caption(study: BeltStudy) -> str:
    return _(
        "A line for each mend, the newest on top, from its passed proof on. Diamond: the same "
        "cause family was back. Triangle: it holds so far. After %(days)s days, the plant's "
        "window, a new case counts as a new fault, and the line ends."
    ) % {"days": study.conveyor.plant.recurrence_window_days}


def _lead(mends: Sequence[Mend]) -> str:
    came_back = sum(mend.came_back for mend in mends)
    told = ngettext(
        "%(back)s of %(all)s mend came back.", "%(back)s of %(all)s mends came back.", len(mends)
    ) % {"back": came_back, "all": len(mends)}
    held = [mend.held_days for mend in mends]
    course = kaplan_meier(held, [mend.came_back for mend in mends], level=_LEVEL)
    return " ".join((told, _half(course), _still(held, course))).strip()


def _half(course: Survival) -> str:
    median = median_of(course)
    if median is None:
        return _("More than half hold, so when half will have come back is not known yet.")
    said = _("Half had come back after %(days)s days") % {"days": mend_words.days(median.value)}
    return f"{said}{_with_limits(median)}."


def _still(held: Sequence[float], course: Survival) -> str:
    still = share_at(held, course, _MARK_DAYS, _LEVEL)
    if still is None:
        return ""
    told = {"share": mend_words.share(still.value), "mark": mend_words.days(_MARK_DAYS)}
    said = _("%(share)s hold for %(mark)s days") % told
    return f"{said}{_with_limits(still, is_share=True)} ({_('Kaplan-Meier')})."


def _with_limits(found: Any, *, is_share: bool = False) -> str:
    limits = mend_words.limits(found, mend_words.share if is_share else mend_words.days)
    return ", " + _("90 %% limits %(limits)s") % {"limits": limits} if limits else ""


def _not_drawn(mends: Sequence[Mend]) -> list[str]:
    if len(mends) <= _BARS:
        return []
    told = _("The newest %(shown)s of %(all)s mends are drawn; the table has all of them.")
    return [told % {"shown": _BARS, "all": len(mends)}]


def _failed(found: Any) -> list[str]:
    failed = found.failed_on_proof.total()
    if not failed:
        return []
    told = ngettext(
        "%(many)s more order failed its proof and never began to hold.",
        "%(many)s more orders failed their proof and never began to hold.",
        failed,
    )
    return [told % {"many": failed}]


def _bar(mend: Mend, words: str) -> Bar:
    # Rounded, so that the drawing of what holds on is not a new one every second.
    return Bar(mend.order.number, words, round(mend.held_days, 1), mend.came_back)


def _header() -> list[str]:
    return [
        _("order"),
        _("mend"),
        _("cause family"),
        _("case"),
        _("proof passed"),
        _("held (days)"),
        _("until now"),
        _("came back as"),
    ]


def _row(mend: Mend, words: str, study: BeltStudy) -> list[Cell]:
    life, zone = mend.life, study.conveyor.plant.zone_info
    return [
        Linked(life.order_number, reverse("order", args=[life.order_number])),
        words,
        str(class_words(life.cause_class)) if life.cause_class else "",
        Linked(life.case_number, reverse("case", args=[life.case_number])),
        life.proved_at.astimezone(zone).date().isoformat(),
        whole_days(mend.held_days),
        mend_words.state_words(mend, study.now),
        Linked(life.back_number, reverse("case", args=[life.back_number]))
        if life.back_number
        else None,
    ]
