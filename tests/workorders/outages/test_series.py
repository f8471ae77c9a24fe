"""Windows that come back: made a year ahead, on by the sweep, ended."""

from datetime import date, datetime, timedelta
from unittest import mock

import pytest

from plant.services.register_refusals import StaleForm
from tests.workorders.factories import NOW, make_conveyor
from tests.workorders.outage_rows import TUESDAY, begin_weekly
from tests.workorders.sheet_rows import make_approved, make_crew, place_in
from workorders.models import OutageSeries, OutageWindow
from workorders.services import placing
from workorders.services.outages import series, windows
from workorders.services.outages.weighing import AsksFirst
from workorders.services.outages.windows import WindowTimesRefused, WindowWanted

pytestmark = pytest.mark.django_db
WEEK = timedelta(days=7)


def test_a_weekly_window_stands_a_year_ahead_at_its_time_on_the_wall():
    belt = make_conveyor()  # at Halifax

    made = begin_weekly(belt)

    rows = list(made.windows.prefetch_related("conveyors"))
    zone = belt.plant.zone_info
    assert len(rows) == 53
    assert {f"{one.starts_at.astimezone(zone):%a %H:%M}" for one in rows} == {"Tue 06:00"}
    assert {f"{one.ends_at.astimezone(zone):%H:%M}" for one in rows} == {"14:00"}
    # Winter and summer time are an hour apart in UTC.
    assert {one.starts_at.hour for one in rows} == {9, 10}
    assert all(list(one.conveyors.all()) == [belt] for one in rows)


def test_a_night_window_is_shorter_in_the_night_in_which_the_clocks_go_forward():
    belt = make_conveyor()

    made = begin_weekly(
        belt, first_starts_at=datetime(2026, 11, 7, 22, tzinfo=belt.plant.zone_info),
        rule="FREQ=WEEKLY;BYDAY=SA",
    )  # fmt: skip

    night = made.windows.get(starts_at__date=date(2027, 3, 14))
    assert night.ends_at - night.starts_at == timedelta(hours=7)
    other = made.windows.get(starts_at__date=date(2027, 3, 7))
    assert other.ends_at - other.starts_at == timedelta(hours=8)


def test_the_sweep_makes_the_next_windows_and_a_second_time_none():
    made = begin_weekly(make_conveyor())
    moved = made.windows.all()[3]
    windows.change_window(
        window_id=moved.pk,
        wanted=WindowWanted(
            "put elsewhere",
            list(made.conveyors.all()),
            moved.starts_at + timedelta(days=1),
            moved.ends_at + timedelta(days=1),
        ),
        version=1,
        by=None,
        now=NOW,
    )
    later = NOW + 8 * WEEK

    with mock.patch("django.utils.timezone.now", return_value=later):
        assert series.make_owed() == 8
        assert series.make_owed() == 0

    starts = list(made.windows.values_list("first_starts_at", flat=True))
    assert len(starts) == len(set(starts)) == 53 + 8
    moved.refresh_from_db()
    assert moved.name == "put elsewhere"


def test_with_nothing_owed_the_sweep_costs_one_query(django_assert_num_queries):
    begin_weekly(make_conveyor())

    with (
        mock.patch("django.utils.timezone.now", return_value=NOW),
        django_assert_num_queries(1),
    ):
        assert series.make_owed() == 0


def test_a_series_that_cannot_be_made_stops_no_other():
    broken, other = begin_weekly(make_conveyor()), begin_weekly(make_conveyor())
    OutageSeries.objects.filter(pk=broken.pk).update(rule="no rule")

    with mock.patch("django.utils.timezone.now", return_value=NOW + 8 * WEEK):
        assert series.make_owed() == 8

    assert (broken.windows.count(), other.windows.count()) == (53, 53 + 8)


@pytest.mark.parametrize(
    ("fields", "refusal", "field"),
    [
        ({"rule": "every Tuesday"}, series.RepeatRefused, "rule"),
        ({"rule": "FREQ=HOURLY"}, series.RepeatRefused, "rule"),
        ({"rule": "FREQ=WEEKLY;BYDAY=WE"}, series.RepeatRefused, "first_starts_at"),
        ({"rule": "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30"}, series.RepeatRefused, "rule"),
        ({"minutes": 0}, WindowTimesRefused, "hours"),
        ({"minutes": 93 * 1440}, WindowTimesRefused, "hours"),
        ({"first_starts_at": TUESDAY - WEEK}, WindowTimesRefused, "ends_at"),
    ],
)
def test_what_makes_no_series_is_refused_by_field(fields, refusal, field):
    with pytest.raises(refusal) as refused:
        begin_weekly(make_conveyor(), **fields)

    assert refused.value.field == field
    assert not OutageSeries.objects.exists()


def test_the_next_day_that_fits_is_told():
    with pytest.raises(series.RepeatRefused, match="2026-11-04"):
        begin_weekly(make_conveyor(), rule="FREQ=WEEKLY;BYDAY=WE")


def end(made, *, also_with_orders=False, version=1, seen=None, last_on=date(2026, 11, 10)):
    return series.end_series(
        series_id=made.pk,
        last_on=last_on,
        also_with_orders=also_with_orders,
        version=version,
        by=None,
        now=NOW,
        seen=seen,
    )


def test_an_ended_series_keeps_the_windows_up_to_its_last_day():
    made = begin_weekly(make_conveyor())

    assert end(made) == 51

    kept = OutageWindow.objects.standing().filter(series=made)
    assert [one.starts_at for one in kept] == [TUESDAY, TUESDAY + WEEK]
    with mock.patch("django.utils.timezone.now", return_value=NOW + 60 * WEEK):
        assert series.make_owed() == 0
    with pytest.raises(series.SeriesHasEnded):
        end(made, version=2)
    with pytest.raises(StaleForm):
        end(made)


def test_a_series_ends_no_later_than_its_windows_are_made():
    made = begin_weekly(make_conveyor())

    with pytest.raises(series.SeriesEndsTooFar) as refused:
        end(made, last_on=date(2028, 1, 1))

    assert refused.value.field == "last_on"


def test_windows_with_work_stay_or_go_as_was_asked():
    order = make_approved()
    made = begin_weekly(order.conveyor)
    crew = make_crew(order.conveyor.plant)
    window = made.windows.all()[5]
    placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)

    with pytest.raises(AsksFirst) as asked:
        end(made, also_with_orders=True, seen="")
    assert [one.order for one in asked.value.consequences.unfit] == [order]

    assert end(made, seen="") == 50
    window.refresh_from_db()
    assert window.called_off_at is None
