"""A proposal in words: what it aims at, what becomes of an order, why one is left out."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from workorders.plan_result import Mark
from workorders.planning.outages.minutes import instant_of
from workorders.planning.outages.proposal import Aim, Reason

AIM_WORDS: dict[Aim, str | Promise] = {
    Aim.LATE: gettext_lazy("Late and left-out work, by urgency"),
    Aim.ISOLATIONS: gettext_lazy("Isolations made"),
    Aim.OVERTIME: gettext_lazy("Overtime"),
    Aim.MOVES: gettext_lazy("Orders that move"),
}
AIM_HELP: dict[Aim, str | Promise] = {
    Aim.LATE: gettext_lazy(
        "points by urgency for each order that ends after it is due, three times as many for one "
        "left out"
    ),
    Aim.ISOLATIONS: gettext_lazy("one for each window and conveyor with work in it"),
    Aim.OVERTIME: gettext_lazy("people × time after the end of shifts"),
    Aim.MOVES: gettext_lazy("of those that have a place now and are not pinned"),
}
MARK_WORDS: dict[Mark, str | Promise] = {
    Mark.NEW: gettext_lazy("new"),
    Mark.MOVED: gettext_lazy("moved"),
    Mark.OFF: gettext_lazy("off the sheet"),
    Mark.STAYS: gettext_lazy("stays"),
    Mark.PINNED: gettext_lazy("pinned, stays"),
}
FAILURE_WORDS: dict[str, str | Promise] = {
    "failed": gettext_lazy("Something went wrong, and it is written in the log. Ask again."),
    "is_over": gettext_lazy("Its stretch of time was over before anybody could work at it."),
    "begun_too_often": gettext_lazy(
        "It was begun several times and the worker ended each time before it was done. Ask whoever "
        "keeps the site to look at the worker, then ask again."
    ),
}


def figure_words(aim: Aim, value: int) -> str:
    return hours_words(value) if aim is Aim.OVERTIME else str(value)


def hours_words(minutes: int) -> str:
    """Hours and minutes, as people say them: 24 h, 1 h 30 min, 45 min."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return _("%(minutes)s min") % {"minutes": rest}
    if not rest:
        return _("%(hours)s h") % {"hours": hours}
    return _("%(hours)s h %(minutes)s min") % {"hours": hours, "minutes": rest}


def day_words(minute: int, zone: ZoneInfo) -> str:
    return f"{_local(minute, zone):%Y-%m-%d %H:%M}"


def reason_words(one: Mapping[str, Any], zone: ZoneInfo) -> str:
    """Why an order is left out, as one sentence."""
    names = ", ".join(one["names"])
    asked, there = one["asked"], one["there"]
    at = day_words(one["at"], zone) if one["at"] is not None else ""
    reason = Reason(one["reason"])
    if reason is Reason.FULL:
        return _full_words(asked, there, names)
    sentences = {
        Reason.PARTS_MISSING: _("Parts are neither here nor due: %(why)s."),
        Reason.HELD: _("It %(why)s."),
        Reason.NO_WINDOW: _("Its conveyor has no outage window in this stretch."),
        Reason.LONGER_THAN_WINDOWS: _(
            "It takes %(asked)s; the longest window of its conveyor is %(there)s."
        ),
        Reason.LACKS_SKILL: _("No crew has the skill: %(names)s."),
        Reason.TOO_FEW_PEOPLE: _(
            "It needs %(people)s people at a time; the largest crew with the skill has %(most)s."
        ),
        Reason.TOO_LATE_TO_BEGIN: _(
            "It may not begin before %(at)s, and no window is long enough after that."
        ),
        Reason.PARTS_TOO_LATE: _("Its parts come %(at)s, and no window is long enough after that."),
        Reason.NO_SHIFT: _("No crew that can do it works %(asked)s on end while it may be done."),
        Reason.BEFORE_STANDING: _(
            "%(names)s stands fast where it is, and there is no time for this one on the right "
            "side of it."
        ),
        Reason.WAITS_FOR_LEFT_OUT: _("It waits for %(names)s, which is left out."),
    }
    return sentences[reason] % {
        "why": one["why"].rstrip(". "),
        "names": names,
        "at": at,
        "asked": hours_words(asked),
        "there": hours_words(there),
        "people": asked,
        "most": there,
    }


def _full_words(asked: int, there: int, names: str) -> str:
    told = {"asked": hours_words(asked), "there": hours_words(there), "names": names}
    if asked > there:
        words = _(
            "Its windows and crews are full: %(asked)s of people's time are asked for, %(there)s "
            "are there."
        )
    else:
        words = _(
            "Beside what stands in its windows no crew has enough people on end, though "
            "%(there)s of their time are there for the %(asked)s asked for."
        )
    if names:
        words += " " + _("At least as urgent: %(names)s.")
    return words % told


def late_words(result: Mapping[str, Any]) -> str:
    """What stands behind the first figure."""
    late, left_out = len(result["late"]), len(result["left_out"])
    ends_late = ngettext("%(n)s order ends", "%(n)s orders end", late) % {"n": late}
    goes_out = ngettext("%(n)s order is left out", "%(n)s orders are left out", left_out)
    told = {"late": ends_late, "out": goes_out % {"n": left_out}}
    return _("%(late)s after the due date, %(out)s.") % told


def stability_words(said: Mapping[str, Any]) -> list[str]:
    """How much of what stood moves, and why so much."""
    if not said["placed"]:
        return [_("No order had a place in this stretch that could move.")]
    moved = ngettext(
        "%(moved)s of %(placed)s orders that had a place and are not pinned moves.",
        "%(moved)s of %(placed)s orders that had a place and are not pinned move.",
        said["moved"],
    )
    words = [moved % said]
    if said["limit"] is None:
        return [*words, _("Worked out from scratch: anything might move that is not pinned.")]
    words.append(_("One in twenty might: %(allowed)s.") % said)
    if said["forced"]:
        words.append(
            ngettext(
                "%(forced)s cannot stay: its window, crew or people are not there any more.",
                "%(forced)s cannot stay: their window, crew or people are not there any more.",
                said["forced"],
            )
            % said
        )
    if said["raised_for"]:
        words.append(
            _("Up to %(limit)s might move so that these have a place again: %(names)s.")
            % {"limit": said["limit"], "names": ", ".join(said["raised_for"])}
        )
    return words


def _local(minute: int, zone: ZoneInfo) -> datetime:
    return instant_of(minute).astimezone(zone)
