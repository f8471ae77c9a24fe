"""Rules of repetition in words, and why one is refused."""

from datetime import date, datetime

from django.utils.dates import MONTHS, WEEKDAYS
from django.utils.functional import Promise
from django.utils.text import format_lazy, get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from workorders.planning.outages.repeat_rules import (
    Frequency,
    NthDay,
    Repeat,
    RuleFault,
    RuleRefused,
    read_rule,
)

NTH_WORDS: dict[int, str | Promise] = {
    1: gettext_lazy("first"),
    2: gettext_lazy("second"),
    3: gettext_lazy("third"),
    4: gettext_lazy("fourth"),
    5: gettext_lazy("fifth"),
    -1: gettext_lazy("last"),
    -2: gettext_lazy("last but one"),
}
_FAULTS: dict[RuleFault, str | Promise] = {
    RuleFault.NOT_A_RULE: gettext_lazy(
        "This is no rule. Write one as RFC 5545 does: FREQ=WEEKLY;INTERVAL=2;BYDAY=TU"
    ),
    RuleFault.PART_UNKNOWN: gettext_lazy("This part of a rule is not understood:"),
    RuleFault.PART_TWICE: gettext_lazy("This part stands twice:"),
    RuleFault.VALUE_WRONG: gettext_lazy("This value cannot be right:"),
    RuleFault.WITHIN_A_DAY: gettext_lazy(
        "A window comes back on days, not within one; use DAILY, WEEKLY, MONTHLY or YEARLY:"
    ),
    RuleFault.NOT_WITH_FREQUENCY: gettext_lazy("This does not go with the frequency of the rule:"),
    RuleFault.COUNT_AND_UNTIL: gettext_lazy("Give COUNT or UNTIL, not both:"),
    RuleFault.PLACES_OF_NOTHING: gettext_lazy("This chooses among days that no other part names:"),
}


def fault_words(refused: RuleRefused) -> str:
    words = str(_FAULTS[refused.fault])
    return words if refused.fault is RuleFault.NOT_A_RULE else f"{words} {refused.part}"


def rule_words(text: str) -> str:
    """`every 2 weeks on Monday`; a rule with no plain words stays as it is written."""
    try:
        rule = read_rule(text)
    except RuleRefused:
        return text
    days = _days_words(rule)
    if days is None:
        return text
    return " ".join(one for one in (_often_words(rule), days, _end_words(rule)) if one)


def _often_words(rule: Repeat) -> str:
    count = rule.interval
    words = {
        Frequency.DAILY: ngettext("every day", "every %(count)d days", count),
        Frequency.WEEKLY: ngettext("every week", "every %(count)d weeks", count),
        Frequency.MONTHLY: ngettext("every month", "every %(count)d months", count),
        Frequency.YEARLY: ngettext("every year", "every %(count)d years", count),
    }[rule.frequency]
    return words % {"count": count} if count != 1 else words


def _days_words(rule: Repeat) -> str | None:
    """None where no short words say it."""
    if rule.places or (rule.days and rule.month_days):
        return None
    if any(one.nth and one.nth not in NTH_WORDS for one in rule.days):
        return None
    named = [_day_words(one) for one in rule.days] + [_month_day_words(n) for n in rule.month_days]
    said = [_("on %(days)s") % {"days": get_text_list(named, _("and"))}] if named else []
    if rule.months:
        months = get_text_list([str(MONTHS[one]) for one in rule.months], _("and"))
        said.append(_("in %(months)s") % {"months": months})
    return " ".join(said)


def _day_words(day: NthDay) -> str:
    name = WEEKDAYS[day.weekday]
    if not day.nth:
        return str(name)
    return str(format_lazy(_("the {nth} {day}"), nth=NTH_WORDS[day.nth], day=name))


def _month_day_words(number: int) -> str:
    if number == -1:
        return _("the last day of the month")
    if number < 0:
        return _("day %(number)d from the end of the month") % {"number": -number}
    return _("day %(number)d") % {"number": number}


def _end_words(rule: Repeat) -> str:
    if rule.count is not None:
        return ngettext("once", "%(count)d times", rule.count) % {"count": rule.count}
    if rule.until is None:
        return ""
    day: date = rule.until.date() if isinstance(rule.until, datetime) else rule.until
    return _("until %(day)s") % {"day": day.isoformat()}
