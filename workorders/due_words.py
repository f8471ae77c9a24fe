"""What is due in the reader's language: why, how many, and what an order says of it."""

from collections.abc import Sequence

from django.utils.formats import number_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from plant.loop.condition import Quantity
from plant.meter_words import figure_words
from plant.models.condition_reading import QUANTITY_WORDS
from workorders.life_subjects import RENEWED_WORDS, Renewed
from workorders.models import DueItem
from workorders.order_draft import TITLE_LENGTH
from workorders.wear_words import day_words, span_words

_BASIS: dict[str, str | Promise] = {
    "group": gettext_lazy("the failures of this group"),
    "belt": gettext_lazy("the failures on this belt"),
    "plant": gettext_lazy("the failures at this plant"),
}
_TITLES: dict[Renewed, str | Promise] = {
    Renewed.LAGGING: gettext_lazy("Renew lagging"),
    Renewed.ROLLS: gettext_lazy("Renew rolls"),
    Renewed.BEARING: gettext_lazy("Renew bearings"),
    Renewed.BLADE: gettext_lazy("Renew blades"),
    Renewed.COVERS: gettext_lazy("Renew the belt"),
    Renewed.TAKE_UP: gettext_lazy("Shorten the belt"),
}
_JOBS: dict[Renewed, str | Promise] = {
    Renewed.COVERS: gettext_lazy("renew the belt, its cover is worn"),
    Renewed.TAKE_UP: gettext_lazy("shorten the belt, so that the take-up has travel again"),
}


def why_words(item: DueItem) -> str:
    """Why it is due, in a sentence."""
    if item.reason == DueItem.Reason.AGE:
        return _why_aged(item)
    why = item.why
    quantity = Quantity(why["quantity"])
    said = {
        "what": f"{QUANTITY_WORDS[quantity]}{', ' if why['spot'] else ''}{why['spot']}",
        "last": figure_words(why["last"], quantity.unit),
        "limit": figure_words(why["limit"], quantity.unit),
        "count": why["used"],
    }
    if item.reason == DueItem.Reason.LIMIT_MET:
        return _("%(what)s: %(last)s, the limit is %(limit)s") % said
    return (
        ngettext(
            "%(what)s: %(last)s, limit %(limit)s, line through %(count)d reading",
            "%(what)s: %(last)s, limit %(limit)s, line through %(count)d readings",
            why["used"],
        )
        % said
    )


def _why_aged(item: DueItem) -> str:
    why = item.why
    hours = _("running hours") if why["is_running"] else _("calendar hours")
    aged = _(
        "fitted %(day)s; cheapest to renew at %(age)s %(hours)s, by %(basis)s (%(failures)d)"
    ) % {
        "day": why["fitted"],
        "age": number_format(round(why["age_h"], -1), 0, use_l10n=True, force_grouping=True),
        "hours": hours,
        "basis": _BASIS[why["basis"]],
        "failures": why["failures"],
    }
    return aged + (_("; above every age seen") if why.get("is_beyond") else "")


def count_words(item: DueItem) -> str:
    """`21 rolls`, `1 pulley`: how many."""
    what = Renewed(item.what)
    if what is Renewed.ROLLS:
        return ngettext("%(count)d roll", "%(count)d rolls", item.count) % {"count": item.count}
    if what is Renewed.BEARING and item.reason != DueItem.Reason.AGE:
        said = ngettext("%(count)d bearing", "%(count)d bearings", item.count)
        return said % {"count": item.count}
    return str(RENEWED_WORDS[what])


def where_words(item: DueItem) -> str:
    """`C12`, or the sets of a group: `C40–C46, C52`."""
    names = ", ".join(item.sets)
    return names if names and item.reason == DueItem.Reason.AGE else item.where


def interval_words(item: DueItem) -> str:
    return span_words(item.due_from, item.due_until)


def title_words(items: Sequence[DueItem]) -> str:
    """`Renew rolls: C12, C14`, cut to what a title holds."""
    where = ", ".join(dict.fromkeys(where_words(one) for one in items))
    title = f"{_TITLES[Renewed(items[0].what)]}: {where}"
    return title if len(title) <= TITLE_LENGTH else title[: TITLE_LENGTH - 1] + "…"


def line_words(item: DueItem) -> str:
    """One line of an order: where, how many, by when, why."""
    job = _JOBS.get(Renewed(item.what), _("renew %(count)s"))
    return _("%(where)s: %(job)s, by %(day)s (%(why)s)") % {
        "where": where_words(item),
        "job": job % {"count": count_words(item)},
        "day": day_words(item.due_on),
        "why": why_words(item),
    }


def parts_words(item: DueItem) -> str:
    """What is fitted; empty where nothing is, as when a belt is shortened."""
    if Renewed(item.what) is Renewed.TAKE_UP:
        return ""
    what = _("belting") if Renewed(item.what) is Renewed.COVERS else count_words(item)
    return f"{what} ({item.conveyor.tag} {where_words(item)})"
