"""What people read of a calendar: why an event is refused, what would become of a window."""

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from workorders.planning.outages.calendar_file.comparing import Change
from workorders.planning.outages.calendar_file.events import MOST_EVENTS
from workorders.planning.outages.calendar_file.faults import CalendarFault, Refused
from workorders.planning.outages.calendar_file.laying_out import MOST_WINDOWS
from workorders.planning.outages.calendar_file.lines import LARGEST_BYTES
from workorders.planning.outages.repeat_rules import RuleFault, RuleRefused
from workorders.repeat_words import fault_words

CHANGE_WORDS: dict[Change, str | Promise] = {
    Change.NEW: gettext_lazy("new"),
    Change.MOVED: gettext_lazy("moved"),
    Change.CHANGED: gettext_lazy("changed"),
    Change.CALLED_OFF: gettext_lazy("called off"),
    Change.BACK: gettext_lazy("takes place again"),
    Change.GONE: gettext_lazy("gone, to be called off"),
    Change.UNCHANGED: gettext_lazy("unchanged"),
}
_FAULTS: dict[CalendarFault, str | Promise] = {
    CalendarFault.TOO_LARGE: gettext_lazy("The file is larger than {most_mb} MB."),
    CalendarFault.NOT_UTF_8: gettext_lazy("The file is no UTF-8 text, as calendars must be."),
    CalendarFault.NOT_A_CALENDAR: gettext_lazy(
        "This is no calendar: it does not begin with BEGIN:VCALENDAR, or something else stands "
        "between."
    ),
    CalendarFault.NOT_ENDED: gettext_lazy("The file ends too soon: “{detail}” has no other end."),
    CalendarFault.NO_EVENTS: gettext_lazy("The calendar has no events."),
    CalendarFault.TOO_MANY_EVENTS: gettext_lazy(
        "{detail} events; at most {most_events} are read from one file."
    ),
    CalendarFault.TOO_MANY_WINDOWS: gettext_lazy(
        "More than {most_windows} windows in the coming thirteen months."
    ),
    CalendarFault.LINE_UNREADABLE: gettext_lazy("This is no line of a calendar: “{detail}”"),
    CalendarFault.NO_UID: gettext_lazy("It has no UID, so it could not be known again."),
    CalendarFault.UID_TOO_LONG: gettext_lazy("Its UID has more than 255 letters."),
    CalendarFault.NO_START: gettext_lazy("It has no DTSTART."),
    CalendarFault.NO_END: gettext_lazy("It has neither DTEND nor DURATION."),
    CalendarFault.ENDS_TOO_SOON: gettext_lazy("It ends before it has begun."),
    CalendarFault.LASTS_TOO_LONG: gettext_lazy("It lasts {detail} days; at most 92."),
    CalendarFault.DATE_WRONG: gettext_lazy("“{detail}” is no date between 1900 and 2199."),
    CalendarFault.DURATION_WRONG: gettext_lazy("“{detail}” is no DURATION; PT8H is eight hours."),
    CalendarFault.ZONE_UNKNOWN: gettext_lazy("Nobody knows the time zone “{detail}”."),
    CalendarFault.ZONE_WRONG: gettext_lazy("The time zone “{detail}” cannot be read."),
    CalendarFault.RULE_TWICE: gettext_lazy("It has two RRULE; one is understood."),
    CalendarFault.COUNTS_TOO_FAR: gettext_lazy(
        "Its COUNT counts from too long ago; begin it nearer, or use UNTIL."
    ),
    CalendarFault.THIS_AND_FUTURE: gettext_lazy(
        "It changes “this and all that follow”; end the series and begin another one."
    ),
    CalendarFault.NO_CONVEYOR: gettext_lazy(
        "Neither its name, place nor categories hold a conveyor's tag, and none was chosen for "
        "the file."
    ),
}


def refused_words(refused: Refused) -> str:
    """`line 12: It has no DTSTART.`"""
    if refused.fault is CalendarFault.RULE_WRONG:
        words = fault_words(RuleRefused(RuleFault(refused.rule_fault), refused.detail))
    else:
        words = str(_FAULTS[refused.fault]).format(
            detail=refused.detail,
            most_mb=LARGEST_BYTES // 1_000_000,
            most_events=MOST_EVENTS,
            most_windows=MOST_WINDOWS,
        )
    if refused.line is None:
        return words
    return _("line %(line)d: %(words)s") % {"line": refused.line, "words": words}
