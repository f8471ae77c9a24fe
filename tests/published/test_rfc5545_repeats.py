"""Rules of repetition against the examples printed in RFC 5545, section 3.8.5.3."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from workorders.planning.outages.repeat_rules import read_rule
from workorders.planning.outages.repeats import days_of, starts_of

NEW_YORK = ZoneInfo("America/New_York")
# Name of the example, DTSTART's day, rule, and the days the RFC prints, year by year.
EXAMPLES = [
    ("daily for 10", "19970902", "FREQ=DAILY;COUNT=10",
     {1997: "9/2 9/3 9/4 9/5 9/6 9/7 9/8 9/9 9/10 9/11"}),
    ("every 10 days, 5", "19970902", "FREQ=DAILY;INTERVAL=10;COUNT=5",
     {1997: "9/2 9/12 9/22 10/2 10/12"}),
    ("weekly for 10", "19970902", "FREQ=WEEKLY;COUNT=10",
     {1997: "9/2 9/9 9/16 9/23 9/30 10/7 10/14 10/21 10/28 11/4"}),
    ("weekly on TU and TH for five weeks", "19970902",
     "FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH",
     {1997: "9/2 9/4 9/9 9/11 9/16 9/18 9/23 9/25 9/30 10/2"}),
    ("every other week on TU and TH, 8", "19970902",
     "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH",
     {1997: "9/2 9/4 9/16 9/18 9/30 10/2 10/14 10/16"}),
    ("monthly on the first Friday for 10", "19970905", "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
     {1997: "9/5 10/3 11/7 12/5", 1998: "1/2 2/6 3/6 4/3 5/1 6/5"}),
    ("every other month on the first and last Sunday", "19970907",
     "FREQ=MONTHLY;INTERVAL=2;COUNT=10;BYDAY=1SU,-1SU",
     {1997: "9/7 9/28 11/2 11/30", 1998: "1/4 1/25 3/1 3/29 5/3 5/31"}),
    ("second-to-last Monday for 6 months", "19970922", "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO",
     {1997: "9/22 10/20 11/17 12/22", 1998: "1/19 2/16"}),
    ("third-to-last day of the month", "19970928", "FREQ=MONTHLY;BYMONTHDAY=-3;COUNT=6",
     {1997: "9/28 10/29 11/28 12/29", 1998: "1/29 2/26"}),
    ("the 2nd and 15th for 10", "19970902", "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=2,15",
     {1997: "9/2 9/15 10/2 10/15 11/2 11/15 12/2 12/15", 1998: "1/2 1/15"}),
    ("first and last day of the month for 10", "19970930",
     "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
     {1997: "9/30 10/1 10/31 11/1 11/30 12/1 12/31", 1998: "1/1 1/31 2/1"}),
    ("every 18 months, 10th to 15th", "19970910",
     "FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15",
     {1997: "9/10 9/11 9/12 9/13 9/14 9/15", 1999: "3/10 3/11 3/12 3/13"}),
    ("yearly in June and July for 10", "19970610", "FREQ=YEARLY;COUNT=10;BYMONTH=6,7",
     dict.fromkeys(range(1997, 2002), "6/10 7/10")),
    ("every 20th Monday of the year", "19970519", "FREQ=YEARLY;BYDAY=20MO;COUNT=3",
     {1997: "5/19", 1998: "5/18", 1999: "5/17"}),
    ("every Thursday in March", "19970313", "FREQ=YEARLY;BYMONTH=3;BYDAY=TH;COUNT=11",
     {1997: "3/13 3/20 3/27", 1998: "3/5 3/12 3/19 3/26", 1999: "3/4 3/11 3/18 3/25"}),
    ("first Saturday that follows the first Sunday", "19970913",
     "FREQ=MONTHLY;BYDAY=SA;BYMONTHDAY=7,8,9,10,11,12,13;COUNT=10",
     {1997: "9/13 10/11 11/8 12/13", 1998: "1/10 2/7 3/7 4/11 5/9 6/13"}),
    ("election day every 4 years", "19961105",
     "FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8;COUNT=3",
     {1996: "11/5", 2000: "11/7", 2004: "11/2"}),
    ("third of TU, WE, TH of the month", "19970904",
     "FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3", {1997: "9/4 10/7 11/6"}),
    ("second-to-last weekday of the month", "19970929",
     "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2;COUNT=7",
     {1997: "9/29 10/30 11/27 12/30", 1998: "1/29 2/26 3/30"}),
    ("weeks that begin on Monday", "19970805",
     "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", {1997: "8/5 8/10 8/19 8/24"}),
    ("weeks that begin on Sunday", "19970805",
     "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", {1997: "8/5 8/17 8/19 8/31"}),
    ("a day that is not there is left out", "20070115",
     "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5", {2007: "1/15 1/30 2/15 3/15 3/30"}),
]  # fmt: skip


def days(printed: dict[int, str]) -> list[date]:
    return [
        date(year, *map(int, one.split("/")))
        for year, said in printed.items()
        for one in said.split()
    ]


@pytest.mark.parametrize(
    ("name", "first", "rule", "printed"), EXAMPLES, ids=lambda one: str(one)[:40]
)
def test_a_rule_names_the_days_printed_in_rfc_5545(name, first, rule, printed):
    first_day = datetime.strptime(first, "%Y%m%d").replace(tzinfo=UTC).date()

    assert list(days_of(read_rule(rule), first_day, date(2010, 1, 1))) == days(printed)


def test_friday_the_13th_of_rfc_5545():
    # The RFC takes DTSTART, which is no Friday, out by an EXDATE.
    rule = read_rule("FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13")

    found = list(days_of(rule, date(1997, 9, 2), date(2000, 12, 31)))[1:]

    assert found == days({1998: "2/13 3/13 11/13", 1999: "8/13", 2000: "10/13"})


def test_daily_until_december_24_of_rfc_5545_ends_the_day_before():
    # DTSTART;TZID=America/New_York:19970902T090000, and UNTIL is midnight in UTC.
    rule = read_rule("FREQ=DAILY;UNTIL=19971224T000000Z")
    first = datetime(1997, 9, 2, 9)  # noqa: DTZ001

    starts = list(
        starts_of(rule, first, date(1998, 2, 1), lambda wall: wall.replace(tzinfo=NEW_YORK))
    )

    assert (starts[0], starts[-1]) == (first, datetime(1997, 12, 23, 9))  # noqa: DTZ001
    assert len(starts) == 29 + 31 + 30 + 23
