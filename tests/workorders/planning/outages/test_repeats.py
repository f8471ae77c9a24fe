"""Rules of repetition: refused, written and read back, laid out as another library does."""

from datetime import UTC, date, datetime, timedelta
from itertools import islice

import pytest
from dateutil import rrule
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from workorders.planning.outages.repeat_rules import (
    Frequency,
    NthDay,
    Repeat,
    RuleFault,
    RuleRefused,
    read_rule,
    rule_text,
)
from workorders.planning.outages.repeats import days_of, fits


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", RuleFault.NOT_A_RULE),
        ("every Tuesday", RuleFault.NOT_A_RULE),
        ("INTERVAL=2", RuleFault.NOT_A_RULE),
        ("FREQ=WEEKLY;" + "BYDAY=MO," * 99, RuleFault.NOT_A_RULE),
        ("FREQ=FORTNIGHTLY", RuleFault.VALUE_WRONG),
        ("FREQ=SECONDLY;COUNT=1000000000", RuleFault.WITHIN_A_DAY),
        ("FREQ=DAILY;BYHOUR=6,14", RuleFault.WITHIN_A_DAY),
        ("FREQ=YEARLY;BYWEEKNO=20", RuleFault.PART_UNKNOWN),
        ("FREQ=DAILY;FREQ=WEEKLY", RuleFault.PART_TWICE),
        ("FREQ=DAILY;INTERVAL=0", RuleFault.VALUE_WRONG),
        ("FREQ=DAILY;INTERVAL=-1", RuleFault.VALUE_WRONG),
        ("FREQ=DAILY;COUNT=99999999999999999999", RuleFault.VALUE_WRONG),
        ("FREQ=DAILY;COUNT=3;UNTIL=20270101", RuleFault.COUNT_AND_UNTIL),
        ("FREQ=DAILY;UNTIL=20270231", RuleFault.VALUE_WRONG),
        ("FREQ=DAILY;UNTIL=tomorrow", RuleFault.VALUE_WRONG),
        ("FREQ=MONTHLY;BYDAY=0MO", RuleFault.VALUE_WRONG),
        ("FREQ=MONTHLY;BYDAY=54MO", RuleFault.VALUE_WRONG),
        ("FREQ=MONTHLY;BYDAY=XX", RuleFault.VALUE_WRONG),
        ("FREQ=MONTHLY;BYMONTHDAY=32", RuleFault.VALUE_WRONG),
        ("FREQ=YEARLY;BYMONTH=-1", RuleFault.VALUE_WRONG),
        ("FREQ=WEEKLY;BYDAY=2TU", RuleFault.NOT_WITH_FREQUENCY),
        ("FREQ=WEEKLY;BYMONTHDAY=3", RuleFault.NOT_WITH_FREQUENCY),
        ("FREQ=MONTHLY;BYSETPOS=1", RuleFault.PLACES_OF_NOTHING),
        ("FREQ=WEEKLY;WKST=8", RuleFault.VALUE_WRONG),
    ],
)
def test_what_is_no_rule_of_days_is_refused_by_name(text: str, fault: RuleFault):
    with pytest.raises(RuleRefused) as refused:
        read_rule(text)

    assert refused.value.fault is fault
    assert len(refused.value.part) <= 60


def test_small_letters_and_the_name_of_the_property_are_read():
    rule = read_rule("rrule:freq=weekly;interval=2;byday=tu,th;")

    assert rule == Repeat(Frequency.WEEKLY, interval=2, days=(NthDay(1), NthDay(3)))


@pytest.mark.parametrize("frequency", ["DAILY", "MONTHLY", "YEARLY"])
def test_a_rule_that_fits_no_day_comes_to_an_end(frequency: str):
    rule = read_rule(f"FREQ={frequency};BYMONTH=2;BYMONTHDAY=30")
    until = date(2027, 1, 1)

    assert list(days_of(rule, date(1990, 1, 1), until)) == [date(1990, 1, 1)]


def test_a_billion_times_stops_at_the_day_that_was_named():
    rule = read_rule("FREQ=DAILY;COUNT=999999999")

    assert len(list(days_of(rule, date(2027, 1, 1), date(2027, 12, 31)))) == 365


def test_nothing_runs_over_the_end_of_the_calendar():
    for frequency in Frequency:
        rule = Repeat(frequency, interval=999_999_999)
        assert list(days_of(rule, date(2027, 1, 1), date.max)) == [date(2027, 1, 1)]


def test_an_old_rule_without_a_count_is_not_followed_from_its_first_day():
    rule = read_rule("FREQ=DAILY")

    found = list(days_of(rule, date(1, 1, 1), date(2027, 1, 2), since=date(2027, 1, 1)))

    assert found == [date(2027, 1, 1), date(2027, 1, 2)]


def test_the_first_day_counts_though_the_rule_does_not_name_it():
    rule = read_rule("FREQ=WEEKLY;BYDAY=TU;COUNT=2")
    monday = date(2027, 1, 4)

    assert list(days_of(rule, monday, date(2028, 1, 1))) == [monday, date(2027, 1, 5)]
    assert not fits(rule, monday, monday)
    assert fits(rule, monday, date(2027, 1, 12))


_DAYS = st.dates(date(1995, 1, 1), date(2030, 12, 31))
_MONTHS = st.lists(st.integers(1, 12), max_size=3, unique=True).map(lambda one: tuple(sorted(one)))
_MONTH_DAYS = st.lists(
    st.integers(-31, 31).filter(bool), max_size=3, unique=True
).map(lambda one: tuple(sorted(one)))  # fmt: skip


def _nth(most: int) -> st.SearchStrategy[tuple[NthDay, ...]]:
    one = st.builds(NthDay, st.integers(0, 6), st.integers(-most, most))
    return st.lists(one, max_size=3, unique=True).map(lambda days: tuple(sorted(days)))


@st.composite
def _rules(draw) -> Repeat:
    frequency = draw(st.sampled_from(Frequency))
    is_long = frequency in {Frequency.MONTHLY, Frequency.YEARLY}
    months = draw(_MONTHS)
    month_days = () if frequency is Frequency.WEEKLY else draw(_MONTH_DAYS)
    days = draw(_nth(5 if is_long else 0))
    has_places = is_long and bool(months or month_days or days)
    places = draw(st.lists(st.integers(-4, 4).filter(bool), max_size=2, unique=True))
    return Repeat(
        frequency,
        interval=draw(st.integers(1, 5)),
        count=draw(st.one_of(st.none(), st.integers(1, 30))),
        week_begins=draw(st.integers(0, 6)),
        months=months,
        month_days=month_days,
        days=days,
        places=tuple(sorted(places)) if has_places else (),
    )


@given(_rules())
def test_a_rule_written_is_read_back_the_same(rule: Repeat):
    assert read_rule(rule_text(rule)) == rule


@settings(max_examples=150, deadline=None)
@given(_rules(), _DAYS, st.integers(0, 2000))
def test_days_are_those_that_dateutil_finds(rule: Repeat, first: date, later: int):
    """Of rules that name their first day: dateutil leaves a first day out that does not fit.

    And of rules whose BYDAY is all plain or all numbered: of both together dateutil keeps only the
    days that are of each, where RFC 5545, 3.3.10, lists days that each count.
    """
    assume(len({one.nth == 0 for one in rule.days}) < 2)
    until = first + timedelta(days=2500)
    text = rule_text(Repeat(**{**rule.__dict__, "count": None}))
    noon = datetime(first.year, first.month, first.day, 12, tzinfo=UTC)
    # Its UNTIL only, so that a rule without any day comes to an end in dateutil too.
    theirs = rrule.rrulestr(f"{text};UNTIL={until:%Y%m%d}T235959Z", dtstart=noon)
    if not fits(rule, first, first):
        return
    expected = [one.date() for one in islice(theirs, rule.count)]

    assert list(days_of(rule, first, until)) == expected
    since = first + timedelta(days=later)
    assert list(days_of(rule, first, until, since)) == [day for day in expected if day >= since]
