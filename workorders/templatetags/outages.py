"""Times of windows and crews as their pages write them."""

from datetime import date, datetime

from django import template
from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plant.models import Plant
from workorders.models import CrewShift, OutageSeries
from workorders.repeat_words import rule_words

register = template.Library()

_SPACE = "\N{NO-BREAK SPACE}"
_TO = f"{_SPACE}\N{EN DASH}{_SPACE}"


@register.simple_tag
def window_time(starts_at: datetime, ends_at: datetime, plant: Plant) -> str:
    """`Tue 1 Dec 2026, 06:00 – 14:00`; the day again when it ends on another one."""
    begins, ends = starts_at.astimezone(plant.zone_info), ends_at.astimezone(plant.zone_info)
    until = f"{ends:%H:%M}" if begins.date() == ends.date() else f"{_day(ends)}, {ends:%H:%M}"
    return f"{_day(begins)}, {begins:%H:%M}{_TO}{until}"


@register.simple_tag
def hours_of_day(starts_at: datetime, ends_at: datetime, day: date, plant: Plant) -> str:
    """As `window_time`, on a page that has said the day: the day only where it is another one."""
    begins, ends = starts_at.astimezone(plant.zone_info), ends_at.astimezone(plant.zone_info)
    words = (
        f"{one:%H:%M}" if one.date() == day else f"{_day(one)}, {one:%H:%M}"
        for one in (begins, ends)
    )
    return _TO.join(words)


@register.filter
def shift_time(shift: CrewShift) -> str:
    """`22:00 – 06:00 on the next day`."""
    words = f"{shift.begins_at:%H:%M}{_TO}{shift.ends_at:%H:%M}"
    if shift.ends_at > shift.begins_at or f"{shift.ends_at:%H%M}" == "0000":
        return words
    return _("%(hours)s on the next day") % {"hours": words}


@register.filter
def day_words(day: date) -> str:
    return _day(day)


@register.filter
def comes_back(series: OutageSeries) -> str:
    return rule_words(series.rule)


@register.filter
def hours_long(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    if not rest:
        return f"{hours}{_SPACE}h"
    return f"{hours}{_SPACE}h {rest}{_SPACE}min" if hours else f"{rest}{_SPACE}min"


@register.filter
def people(count: int) -> str:
    return ngettext("%(count)d person", "%(count)d people", count) % {"count": count}


def _day(day: date) -> str:
    return formats.date_format(day, "D j M Y").replace(" ", _SPACE)
