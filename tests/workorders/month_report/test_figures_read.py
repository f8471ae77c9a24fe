"""The figures of a month, from rows: what counts, in the plant's own zone, and what is unknown."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics.case_states import CaseState
from plant.metering.basis import Basis
from plant.models import ConveyorChange
from tests.plant import meter_rows
from tests.workorders.factories import make_conveyor, make_order_by_hand, make_plant
from tests.workorders.month_report.rows import (
    NOW,
    OCTOBER,
    at,
    figures_of,
    make_case,
    make_cases,
    make_mend,
)
from workorders.models import WorkOrder
from workorders.month_report import figures
from workorders.month_report.changes import Verdict

pytestmark = pytest.mark.django_db


@pytest.fixture
def belt():
    return make_conveyor(make_plant(code="LT"), tag="Q30", hour_costs=Decimal("1000"))


def test_cases_are_counted_in_the_plants_own_month(belt):
    # Halifax is three hours behind in October: this is still September there, and this October.
    make_cases(belt, "2026-10-01T02:30", "2026-10-01T03:30", "2026-11-01T02:59", "2026-11-01T03:01")

    counts = figures_of(belt.plant).counts

    assert (counts.opened, counts.opened_before) == (2, 1)


def test_closed_and_open_are_told_as_they_stood_at_the_months_end(belt):
    make_case(belt, "2026-08-03", closed="2026-10-20")
    make_case(belt, "2026-10-05", closed="2026-11-03")
    make_case(belt, "2026-10-06")
    make_case(belt, "2026-11-02")
    make_case(belt, "2026-10-07", state=CaseState.NOT_MISTRACKING.value, ended_at=at("2026-10-08"))

    counts = figures_of(belt.plant).counts

    assert (counts.opened, counts.closed, counts.open_at_end) == (2, 1, 2)


def test_lost_hours_have_their_price_where_the_belts_hour_has_one(belt):
    cheap = make_conveyor(belt.plant, tag="P10")
    make_case(belt, "2026-10-05", lost_hours=Decimal("2.5"))
    make_case(cheap, "2026-10-06", lost_hours=Decimal("4"))
    make_case(cheap, "2026-10-07")

    lost = figures_of(belt.plant).lost

    assert (lost.hours, lost.unsaid_cases) == (6.5, 1)
    assert (lost.costs, lost.hours_without_price) == (2500, 4)


def test_lost_hours_that_nobody_noted_are_unknown_and_not_none(belt):
    make_case(belt, "2026-10-05")

    lost = figures_of(belt.plant).lost

    assert (lost.hours, lost.costs, lost.unsaid_cases) == (None, None, 1)


def test_a_belt_that_got_worse_is_named_against_its_own_year(belt):
    make_cases(belt, "2025-06-01", "2025-09-01", "2026-01-10")
    make_cases(belt, *(f"2026-{month:02d}-{day:02d}" for month in (8, 9, 10) for day in (4, 9, 19)))

    [change] = figures_of(belt.plant).compared.belts

    assert (change.name, change.earlier, change.later) == ("Q30", 2, 9)
    assert change.verdict == Verdict.WORSE


def test_cases_are_held_against_running_hours_where_meters_know_them(belt):
    # 400 h in the 373 days up to August, then 800 h in 93 days: more cases a day, fewer an hour.
    for day, figure in ((-220, "0"), (153, "400"), (246, "1200")):
        meter_rows.keep(belt, day, figure)
    make_cases(belt, "2025-09-01", "2025-12-01", "2026-03-01", "2026-06-01")
    make_cases(belt, "2026-08-09", "2026-09-09", "2026-10-09", "2026-10-19")

    told = figures_of(belt.plant)

    assert told.compared.basis == Basis.RUNNING
    earlier_h, later_h = 400 * 365 / 373, 800 * 92 / 93
    assert told.compared.belts[0].ratio == pytest.approx(earlier_h / later_h, rel=0.01)
    assert told.gaps.belts_unmetered == 0


def test_without_meters_they_are_held_against_the_calendar(belt):
    make_cases(belt, "2025-09-01", "2026-10-05")

    told = figures_of(belt.plant)

    assert told.compared.basis == Basis.CALENDAR
    assert told.compared.belts[0].ratio == pytest.approx(365 / 92, rel=0.01)
    assert told.gaps.belts_unmetered == 1


def test_a_mend_is_proved_then_held_or_came_back(belt):
    make_mend(belt, "2026-10-10", title="New this month")
    make_mend(belt, "2026-04-20", title="Half a year ago")
    make_mend(belt, "2026-08-20", back="2026-10-03", title="Did not hold")
    make_mend(belt, "2026-02-01", back="2026-06-01", title="Long gone")

    mends = figures_of(belt.plant).mends

    assert [one.title for one in mends.proved] == ["New this month"]
    assert [one.title for one in mends.held] == ["Half a year ago"]
    [back] = mends.came_back
    assert (back.title, round(back.days)) == ("Did not hold", 44)
    assert back.back_case


def test_what_came_back_after_the_month_still_held_in_it(belt):
    make_mend(belt, "2026-10-10", back="2026-11-05")

    mends = figures_of(belt.plant).mends

    assert mends.came_back == ()
    assert mends.proved[0].back_case == ""


def test_what_is_to_be_done_is_counted_and_the_most_pressing_named(belt):
    overdue = make_order_by_hand(belt, now=NOW)
    waiting = make_order_by_hand(belt, now=NOW)
    WorkOrder.objects.filter(pk=overdue.pk).update(
        due_on=NOW.date() - timedelta(days=9), state="approved"
    )
    WorkOrder.objects.filter(pk=waiting.pk).update(
        waiting_for="people", waiting_why="the crew is away"
    )

    to_do = figures_of(belt.plant).to_do

    assert (to_do.overdue, to_do.waiting_people, to_do.undecided) == (1, 1, 1)
    [row] = to_do.rows
    assert (row.order, row.since) == (overdue.number, "2026-11-06")


def test_a_month_that_goes_on_is_reported_until_now(belt):
    make_cases(belt, "2026-10-05", "2026-10-25")

    told = figures_of(belt.plant, now=at("2026-10-20"))

    assert not told.asked.is_whole
    assert told.counts.opened == 1


def test_an_empty_plant_has_figures_that_say_so():
    told = figures_of(make_plant())

    assert (told.counts.belts, told.counts.opened, told.lost.hours) == (0, 0, None)
    assert told.compared.plant.verdict == Verdict.UNKNOWN
    assert (told.ranking.belts, told.mends.proved, told.to_do.rows) == ((), (), ())
    assert len(told.course) == 13


def test_in_the_first_month_of_a_plant_nothing_is_compared(belt):
    make_cases(belt, "2026-10-05", "2026-10-15")
    ConveyorChange.objects.update(pgh_created_at=at("2026-10-02"))

    compared = figures_of(belt.plant).compared

    assert compared.plant.verdict == Verdict.UNKNOWN
    assert compared.record_begins == "2026-10-02"


def test_another_plants_cases_are_not_told(belt):
    make_case(make_conveyor(), "2026-10-05")

    assert figures_of(belt.plant).counts.opened == 0


def test_figures_are_read_back_as_they_were_kept(belt):
    make_mend(belt, "2026-08-20", back="2026-10-03")
    make_order_by_hand(belt, now=NOW)
    told = figures_of(belt.plant)

    assert figures.read(told.as_json()) == told


@pytest.mark.parametrize("kept", [{}, {"format": 0}, {"format": figures.FORMAT, "asked": {}}])
def test_figures_of_another_shape_are_not_guessed_at(kept):
    with pytest.raises(figures.UnreadableFigures):
        figures.read(kept)


def test_more_belts_and_cases_ask_no_more_queries(belt):
    make_mend(belt, "2026-10-10")

    def queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            figures_of(belt.plant)
        return len(asked)

    few = queries()
    for number in range(8):
        other = make_conveyor(belt.plant, tag=f"P{number}")
        make_cases(other, "2025-10-05", "2026-09-05", "2026-10-05")
        make_mend(other, "2026-10-12")

    assert queries() == few
    assert replace(figures_of(belt.plant).asked, as_of="").month == OCTOBER.code
