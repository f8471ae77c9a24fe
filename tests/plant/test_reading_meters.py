"""Readings kept and taken back; exposure told from them."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from plant.metering.readings import MeterQuantity, WentOn
from plant.models import Conveyor, MeterReading
from plant.selectors import meters
from plant.selectors.meters import Basis
from plant.services.reading_meters import (
    ImplausibleMeterReading,
    OtherReadingThen,
    keep_reading,
    take_back_reading,
)
from plant.services.register_refusals import FigureRefused, RowIsGone
from tests.plant.factories import make_conveyor
from tests.plant.meter_rows import days, keep, new_reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor() -> Conveyor:
    return make_conveyor()


def test_a_reading_that_would_run_backwards_is_refused_with_both_figures(conveyor: Conveyor):
    keep(conveyor, 0, "12345.5")

    with pytest.raises(ImplausibleMeterReading) as refusal:
        keep(conveyor, 10, "12300")

    said = str(refusal.value).replace("\N{NO-BREAK SPACE}", " ")
    assert "12,345.5 h on 2026-03-01 00:00" in said
    assert "12,300 h on 2026-03-11 00:00" in said
    assert "rolled over or was replaced" in said
    assert refusal.value.field == "reading"
    assert MeterReading.objects.count() == 1


def test_more_hours_than_the_clock_has_are_refused(conveyor: Conveyor):
    keep(conveyor, 0, "100")

    with pytest.raises(ImplausibleMeterReading, match="more than 24 h a day"):
        keep(conveyor, 1, "126")


def test_a_reading_found_later_must_fit_between_its_neighbours(conveyor: Conveyor):
    keep(conveyor, 0, "100")
    keep(conveyor, 10, "200")

    with pytest.raises(ImplausibleMeterReading, match="backwards"):
        keep(conveyor, 5, "201")
    keep(conveyor, 5, "150")
    assert meters.exposure_h(conveyor, days(0), days(5)).hours == pytest.approx(50)


def test_meters_of_two_quantities_and_two_conveyors_do_not_mix(conveyor: Conveyor):
    keep(conveyor, 0, "500")
    keep(conveyor, 1, "7", quantity=MeterQuantity.TONNES)
    keep(make_conveyor(conveyor.plant), 1, "3")

    assert MeterReading.objects.count() == 3


def test_the_same_reading_twice_is_kept_once(conveyor: Conveyor):
    first = keep(conveyor, 0, "500")
    again, is_new = keep_reading(
        conveyor_id=conveyor.pk, new=new_reading(0, "500.000"), by=None, now=days(1)
    )

    assert (again.pk, is_new) == (first.pk, False)
    with pytest.raises(OtherReadingThen):
        keep(conveyor, 0, "501")


def test_what_is_still_to_come_is_refused(conveyor: Conveyor):
    with pytest.raises(FigureRefused) as refusal:
        keep_reading(
            conveyor_id=conveyor.pk,
            new=new_reading(1, "5"),
            by=None,
            now=days(1) - timedelta(minutes=6),
        )

    assert refusal.value.field == "read_at"


def test_a_roll_over_without_digits_is_refused_by_field(conveyor: Conveyor):
    keep(conveyor, 0, "99990")

    with pytest.raises(FigureRefused) as refusal:
        keep(conveyor, 1, "3", went_on=WentOn.ROLLED_OVER)

    assert refusal.value.field == "digits"


def test_the_table_itself_refuses_what_does_not_go_together(conveyor: Conveyor):
    for wrong in ({"reading": None}, {"reading": 1, "digits": 5}, {"new_meter_first": 3}):
        with pytest.raises(IntegrityError), transaction.atomic():
            MeterReading.objects.create(
                conveyor=conveyor, quantity="tonnes", read_at=days(0), **{"reading": 2, **wrong}
            )


def test_a_reading_is_taken_back(conveyor: Conveyor):
    row = keep(conveyor, 0, "5")

    take_back_reading(conveyor_id=conveyor.pk, reading_id=row.pk, by=None)

    assert not MeterReading.objects.exists()
    with pytest.raises(RowIsGone):
        take_back_reading(conveyor_id=conveyor.pk, reading_id=row.pk, by=None)


def test_the_roll_over_that_later_readings_rest_on_is_not_taken_back_first(conveyor: Conveyor):
    keep(conveyor, 0, "99990")
    rolled = keep(conveyor, 1, "4", went_on=WentOn.ROLLED_OVER, digits=5)
    later = keep(conveyor, 2, "20")

    with pytest.raises(ImplausibleMeterReading, match="Take back the reading of 2026-03-03 00:00"):
        take_back_reading(conveyor_id=conveyor.pk, reading_id=rolled.pk, by=None)
    for row in (later, rolled):
        take_back_reading(conveyor_id=conveyor.pk, reading_id=row.pk, by=None)

    assert MeterReading.objects.count() == 1


class TestExposure:
    def test_it_is_running_hours_where_the_meter_says(self, conveyor: Conveyor):
        keep(conveyor, 0, "1000")
        keep(conveyor, 20, "1200")

        told = meters.exposure_h(conveyor, days(5), days(15))

        assert (told.basis, told.why) == (Basis.RUNNING, "")
        assert told.hours == pytest.approx(100)

    @pytest.mark.parametrize(
        ("first", "last", "why"),
        [
            (-1, 5, "before the first reading, of 2026-03-01 00:00"),
            (5, 21, "after the last reading, of 2026-03-21 00:00"),
        ],
    )
    def test_else_it_is_calendar_time_and_says_why(self, conveyor, first, last, why):
        keep(conveyor, 0, "1000")
        keep(conveyor, 20, "1200")

        told = meters.exposure_h(conveyor, days(first), days(last))

        assert told.basis is Basis.CALENDAR
        assert told.hours == pytest.approx((last - first) * 24)
        assert why in told.why
        assert told.metered.value == pytest.approx(200 * (min(last, 20) - max(first, 0)) / 20)

    def test_without_a_reading_it_is_calendar_time(self, conveyor: Conveyor):
        told = meters.exposure_h(conveyor, days(0), days(2))

        assert (told.basis, told.hours, told.metered) == (Basis.CALENDAR, 48, None)
        assert told.why == "No meter reading is kept."

    def test_tonnes_are_no_hours(self, conveyor: Conveyor):
        for day in (0, 9):
            keep(conveyor, day, f"{day * 900}", quantity=MeterQuantity.TONNES)

        assert meters.exposure_h(conveyor, days(0), days(2)).basis is Basis.CALENDAR
