"""Events that come back: rules, what is left out or put elsewhere, the clocks, the limits."""

from datetime import UTC, datetime, timedelta

import pytest

from tests.workorders.planning.outages.calendars import (
    VTIMEZONE,
    event,
    laid_out,
    read,
    starts,
)
from workorders.planning.outages.calendar_file.faults import CalendarFault, CalendarRefused
from workorders.planning.outages.calendar_file.laying_out import HORIZON, MOST_WINDOWS, lay_out

NOW = datetime(2027, 3, 1, tzinfo=UTC)
_TUESDAYS = (
    "DTSTART;TZID=America/Halifax:20270302T060000",
    "DTEND;TZID=America/Halifax:20270302T140000",
)


def test_a_window_that_comes_back_keeps_its_time_on_the_wall():
    found = laid_out(event(*_TUESDAYS, "RRULE:FREQ=WEEKLY;COUNT=4"), now=NOW)

    # Halifax goes over to daylight time on 14 March 2027.
    assert starts(found) == ["03-02 10:00", "03-09 10:00", "03-16 09:00", "03-23 09:00"]
    assert all(one.comes_back for one in found)


@pytest.mark.parametrize(
    "left_out",
    [
        "EXDATE;TZID=America/Halifax:20270309T060000,20270323T060000",
        "EXDATE:20270309T100000Z\nEXDATE:20270323T090000Z",
        "EXDATE;VALUE=DATE:20270309,20270323",
    ],
)
def test_dates_that_are_left_out_are(left_out: str):
    found = laid_out(event(*_TUESDAYS, "RRULE:FREQ=WEEKLY;COUNT=4", left_out), now=NOW)

    assert starts(found) == ["03-02 10:00", "03-16 09:00"]


def test_dates_may_be_added_one_by_one():
    found = laid_out(
        event(*_TUESDAYS, "RDATE;TZID=America/Halifax:20270305T060000,20270302T060000"), now=NOW
    )

    assert starts(found) == ["03-02 10:00", "03-05 10:00"]


def test_one_of_a_series_put_elsewhere_keeps_its_name_and_one_is_cancelled():
    found = laid_out(
        event(*_TUESDAYS, "RRULE:FREQ=WEEKLY;COUNT=3"),
        event(
            "RECURRENCE-ID;TZID=America/Halifax:20270309T060000",
            "DTSTART;TZID=America/Halifax:20270311T080000",
            "DURATION:PT4H",
        ),
        event("RECURRENCE-ID:20270316T090000Z", *_TUESDAYS, "STATUS:CANCELLED"),
        now=NOW,
    )

    by_id = {f"{one.id_at:%m-%d %H:%M}": one for one in found}
    assert list(by_id) == ["03-02 10:00", "03-16 09:00", "03-09 10:00"]
    moved = by_id["03-09 10:00"]
    assert (starts([moved]), moved.ends_at - moved.starts_at) == (
        ["03-11 12:00"],
        timedelta(hours=4),
    )
    assert [one.is_cancelled for one in by_id.values()] == [False, True, False]


def test_the_higher_sequence_counts_whichever_comes_first():
    found = read(
        event("DTSTART:20270302T060000Z", "DURATION:PT2H", "SEQUENCE:3"),
        event("DTSTART:20270303T060000Z", "DURATION:PT2H", "SEQUENCE:2"),
    ).events

    assert [one.start.at.day for one in found] == [2]


def test_by_an_end_every_repetition_lasts_as_many_minutes_by_days_as_many_days():
    """RFC 5545, 3.8.5.3: exact by DTEND; 3.3.6: days of a DURATION are nominal."""
    night = "DTSTART;TZID=America/Halifax:20270312T220000"
    by_end = event(night, "DTEND;TZID=America/Halifax:20270313T060000", "RRULE:FREQ=DAILY;COUNT=2")
    by_days = event(night, "DURATION:P1D", "RRULE:FREQ=DAILY;COUNT=2", uid="b")

    assert [one.ends_at - one.starts_at for one in laid_out(by_end, now=NOW)] == [
        timedelta(hours=8)
    ] * 2
    # The night of 13 March has an hour less.
    assert [one.ends_at - one.starts_at for one in laid_out(by_days, now=NOW)] == [
        timedelta(hours=24),
        timedelta(hours=23),
    ]


def test_nothing_that_is_over_or_beyond_thirteen_months_is_laid_out():
    found = laid_out(
        event("DTSTART:20200107T060000Z", "DURATION:PT8H", "RRULE:FREQ=MONTHLY;BYDAY=1TU"),
        now=datetime(2027, 3, 2, 10, tzinfo=UTC),
    )

    # That of 2 March is still going on.
    assert starts(found)[:2] == ["03-02 06:00", "04-06 06:00"]
    assert starts(found)[-1] == "03-07 06:00"


def test_a_series_in_a_zone_of_the_file_follows_its_clocks():
    found = laid_out(
        VTIMEZONE,
        event('DTSTART;TZID="Terminal time":20270302T060000', "DURATION:PT8H",
              "RRULE:FREQ=WEEKLY;UNTIL=20270323T090000Z"),
        now=NOW,
    )  # fmt: skip

    assert starts(found) == ["03-02 10:00", "03-09 10:00", "03-16 09:00", "03-23 09:00"]


def test_a_billion_repetitions_end_at_the_horizon():
    found = laid_out(
        event("DTSTART:20270302T060000Z", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=999999999"),
        now=NOW,
    )

    assert len(found) == 395


def test_more_windows_than_a_plant_can_have_are_refused_as_a_whole():
    daily = [
        event("DTSTART:20270302T060000Z", "DURATION:PT1H", "RRULE:FREQ=DAILY", uid=f"{number}")
        for number in range(MOST_WINDOWS // 390 + 1)
    ]

    with pytest.raises(CalendarRefused) as refused:
        lay_out(read(*daily).events, NOW, NOW + HORIZON)

    assert refused.value.refused.fault is CalendarFault.TOO_MANY_WINDOWS


def test_rules_that_count_from_long_ago_are_followed_only_so_far():
    old = [
        event("DTSTART:19000102T060000Z", "DURATION:PT1H",
              "RRULE:FREQ=YEARLY;COUNT=500", uid=f"{number}")
        for number in range(6)
    ]  # fmt: skip

    found, refused = lay_out(read(*old).events, NOW, NOW + HORIZON)

    assert {one.fault for one in refused} == {CalendarFault.COUNTS_TOO_FAR}
    assert starts(found)[0] == "01-02 06:00"
    assert len(found) + len(refused) == 6
