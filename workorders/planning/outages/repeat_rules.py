"""Rules by which an outage window comes back, from their text and to it.

The rule is the RECUR value of RFC 5545, 3.3.10, as far as it speaks of days: FREQ (DAILY to
YEARLY), INTERVAL, COUNT, UNTIL, WKST, BYMONTH, BYMONTHDAY, BYDAY, BYSETPOS. What comes back within
a day (HOURLY, BYHOUR and finer) is no outage and is refused, as are BYYEARDAY and BYWEEKNO, which
nobody writes for one.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from enum import StrEnum
from typing import Any, TypeVar

WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_NUMBER = re.compile(r"[+-]?[0-9]{1,9}\Z")
_NTH_DAY = re.compile(r"([+-]?[0-9]{1,2})?(MO|TU|WE|TH|FR|SA|SU)\Z")
_UNTIL = re.compile(r"[0-9]{8}(?:T[0-9]{6}Z?)?\Z")
_Value = TypeVar("_Value")
# More than any rule of days can name; engineering judgement.
_MOST_LETTERS, _MOST_VALUES = 500, 62


class Frequency(StrEnum):
    DAILY = "DAILY"
    WEEKLY = "WEEKLY"
    MONTHLY = "MONTHLY"
    YEARLY = "YEARLY"


class RuleFault(StrEnum):
    NOT_A_RULE = "not a rule"
    PART_UNKNOWN = "part unknown"
    PART_TWICE = "part twice"
    VALUE_WRONG = "value wrong"
    WITHIN_A_DAY = "within a day"
    NOT_WITH_FREQUENCY = "not with this frequency"
    COUNT_AND_UNTIL = "count and until"
    PLACES_OF_NOTHING = "places of nothing"


class RuleRefused(ValueError):
    """`part` is what of the rule is at fault, as it was written."""

    def __init__(self, fault: RuleFault, part: str = "") -> None:
        self.fault, self.part = fault, part[:60]
        super().__init__(f"{fault}: {self.part}")


@dataclass(frozen=True, order=True)
class NthDay:
    """`nth` 0: every such weekday; 2 the second, -1 the last of its month or year."""

    weekday: int
    nth: int = 0

    def __str__(self) -> str:
        return f"{self.nth or ''}{WEEKDAYS[self.weekday]}"


@dataclass(frozen=True)
class Repeat:
    """`until` is a day, a time on the wall (naive) or an instant (aware), as it was written."""

    frequency: Frequency
    interval: int = 1
    count: int | None = None
    until: date | None = None
    week_begins: int = 0
    months: tuple[int, ...] = ()
    month_days: tuple[int, ...] = ()
    days: tuple[NthDay, ...] = ()
    places: tuple[int, ...] = ()


def read_rule(text: str) -> Repeat:
    """A rule from its text; letters of either size, with or without `RRULE:` before it.

    Raises
    ------
    RuleRefused
        If it is no such rule, or one of what the module leaves out.
    """
    parts = _parts_of(text)
    said = parts.pop("FREQ", "")
    if said in {"SECONDLY", "MINUTELY", "HOURLY"}:
        raise RuleRefused(RuleFault.WITHIN_A_DAY, f"FREQ={said}")
    if said not in list(Frequency):
        raise RuleRefused(RuleFault.NOT_A_RULE if not said else RuleFault.VALUE_WRONG, text)
    fields = {_FIELDS[name]: _READERS[name](name, value) for name, value in parts.items()}
    rule = Repeat(Frequency(said), **fields)
    _check(rule, parts)
    return rule


def rule_text(rule: Repeat) -> str:
    """The rule as RFC 5545 writes it; `read_rule` reads the same rule back."""
    parts = [f"FREQ={rule.frequency}"]
    if rule.interval != 1:
        parts.append(f"INTERVAL={rule.interval}")
    if rule.count is not None:
        parts.append(f"COUNT={rule.count}")
    if rule.until is not None:
        parts.append(f"UNTIL={_until_text(rule.until)}")
    if rule.week_begins:
        parts.append(f"WKST={WEEKDAYS[rule.week_begins]}")
    for name in ("BYMONTH", "BYMONTHDAY", "BYDAY", "BYSETPOS"):
        if values := getattr(rule, _FIELDS[name]):
            parts.append(f"{name}={','.join(map(str, values))}")
    return ";".join(parts)


def _until_text(until: date) -> str:
    if not isinstance(until, datetime):
        return f"{until:%Y%m%d}"
    return f"{until:%Y%m%dT%H%M%S}{'Z' if until.tzinfo else ''}"


def _parts_of(text: str) -> dict[str, str]:
    plain = text.strip().upper().removeprefix("RRULE:").rstrip(";")
    if not plain or len(plain) > _MOST_LETTERS or "=" not in plain:
        raise RuleRefused(RuleFault.NOT_A_RULE, text)
    parts: dict[str, str] = {}
    for one in plain.split(";"):
        name, _, value = one.partition("=")
        if name in {"BYHOUR", "BYMINUTE", "BYSECOND"}:
            raise RuleRefused(RuleFault.WITHIN_A_DAY, one)
        if name != "FREQ" and name not in _READERS:
            raise RuleRefused(RuleFault.PART_UNKNOWN, one)
        if name in parts:
            raise RuleRefused(RuleFault.PART_TWICE, one)
        parts[name] = value
    return parts


def _check(rule: Repeat, parts: dict[str, str]) -> None:
    if "COUNT" in parts and "UNTIL" in parts:
        raise RuleRefused(RuleFault.COUNT_AND_UNTIL, f"COUNT={parts['COUNT']}")
    if rule.places and not (rule.months or rule.month_days or rule.days):
        raise RuleRefused(RuleFault.PLACES_OF_NOTHING, f"BYSETPOS={parts['BYSETPOS']}")
    if rule.month_days and rule.frequency is Frequency.WEEKLY:
        raise RuleRefused(RuleFault.NOT_WITH_FREQUENCY, f"BYMONTHDAY={parts['BYMONTHDAY']}")
    has_nth = any(one.nth for one in rule.days)
    if has_nth and rule.frequency in {Frequency.DAILY, Frequency.WEEKLY}:
        raise RuleRefused(RuleFault.NOT_WITH_FREQUENCY, f"BYDAY={parts['BYDAY']}")


def _one_number(name: str, value: str) -> int:
    if not _NUMBER.match(value) or int(value) < 1:
        raise RuleRefused(RuleFault.VALUE_WRONG, f"{name}={value}")
    return int(value)


def _numbers(name: str, value: str) -> tuple[int, ...]:
    most = {"BYMONTH": 12, "BYMONTHDAY": 31}.get(name, 366)
    least = 1 if name == "BYMONTH" else -most
    said = value.split(",")
    numbers = [int(one) for one in said if _NUMBER.match(one)]
    if len(numbers) < len(said) or any(not least <= n <= most or n == 0 for n in numbers):
        raise RuleRefused(RuleFault.VALUE_WRONG, f"{name}={value}")
    return _few(name, value, sorted(set(numbers)))


def _nth_days(name: str, value: str) -> tuple[NthDay, ...]:
    found = [_NTH_DAY.match(one) for one in value.split(",")]
    days = [NthDay(WEEKDAYS.index(one[2]), int(one[1] or 0)) for one in found if one]
    zeros = [one for one in found if one and one[1] and int(one[1]) == 0]
    if len(days) < len(found) or zeros or any(abs(one.nth) > 53 for one in days):
        raise RuleRefused(RuleFault.VALUE_WRONG, f"{name}={value}")
    return _few(name, value, sorted(set(days)))


def _few(name: str, value: str, values: list[_Value]) -> tuple[_Value, ...]:
    if len(values) > _MOST_VALUES:
        raise RuleRefused(RuleFault.VALUE_WRONG, f"{name}={value}")
    return tuple(values)


def _weekday(name: str, value: str) -> int:
    if value not in WEEKDAYS:
        raise RuleRefused(RuleFault.VALUE_WRONG, f"{name}={value}")
    return WEEKDAYS.index(value)


def _last(name: str, value: str) -> date:
    try:
        if not _UNTIL.match(value):
            raise ValueError(value)
        day = date(int(value[:4]), int(value[4:6]), int(value[6:8]))
        if len(value) == 8:
            return day
        at = time(int(value[9:11]), int(value[11:13]), min(int(value[13:15]), 59))
    except ValueError as error:
        raise RuleRefused(RuleFault.VALUE_WRONG, f"{name}={value}") from error
    return datetime.combine(day, at, UTC if value.endswith("Z") else None)


_READERS: dict[str, Callable[[str, str], Any]] = {
    "INTERVAL": _one_number,
    "COUNT": _one_number,
    "UNTIL": _last,
    "WKST": _weekday,
    "BYMONTH": _numbers,
    "BYMONTHDAY": _numbers,
    "BYDAY": _nth_days,
    "BYSETPOS": _numbers,
}
_FIELDS = {
    "INTERVAL": "interval",
    "COUNT": "count",
    "UNTIL": "until",
    "WKST": "week_begins",
    "BYMONTH": "months",
    "BYMONTHDAY": "month_days",
    "BYDAY": "days",
    "BYSETPOS": "places",
}
