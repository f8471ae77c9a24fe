"""Lengths and times of the outage sheet in words, in the plant's own time."""

from zoneinfo import ZoneInfo

from django.utils import formats
from django.utils.translation import gettext as _

from workorders.planning.outages.minutes import instant_of
from workorders.planning.outages.plan import Span

_SPACE = "\N{NO-BREAK SPACE}"
_HOUR = 60
_TWO_DAYS = 48 * _HOUR


def length_words(minutes: int) -> str:
    """`40 min`, `1 h 30 min`, `3 days`."""
    if minutes >= _TWO_DAYS:
        return _("%(days)s days") % {"days": round(minutes / (24 * _HOUR))}
    hours, rest = divmod(minutes, _HOUR)
    parts = [f"{hours}{_SPACE}h"] if hours else []
    parts += [f"{rest}{_SPACE}min"] if rest or not hours else []
    return _SPACE.join(parts)


def hours_words(people_minutes: int) -> str:
    """People x hours as a figure without unit: `14`, `7.5`."""
    return formats.number_format(round(people_minutes / _HOUR, 1)).removesuffix(
        formats.get_format("DECIMAL_SEPARATOR") + "0"
    )


def clock_words(minute: int, zone: ZoneInfo) -> str:
    return f"{instant_of(minute).astimezone(zone):%H:%M}"


def day_words(minute: int, zone: ZoneInfo) -> str:
    """`Tue 1 Dec`."""
    return formats.date_format(instant_of(minute).astimezone(zone), "D j M")


def time_words(minute: int, zone: ZoneInfo) -> str:
    return f"{day_words(minute, zone)} {clock_words(minute, zone)}".replace(" ", _SPACE)


def span_words(span: Span, zone: ZoneInfo) -> str:
    """`Tue 1 Dec 08:00 to 10:00`; the day again when it is another one."""
    same_day = day_words(span.starts, zone) == day_words(span.ends - 1, zone)
    until = clock_words(span.ends, zone) if same_day else time_words(span.ends, zone)
    return _("%(begins)s to %(ends)s") % {"begins": time_words(span.starts, zone), "ends": until}
