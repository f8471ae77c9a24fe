"""Which day it is goes by the plant's time zone, never by UTC."""

from datetime import UTC, date, datetime

import pytest

from plant.models import Component, Plant
from plant.selectors.drawing_sheet import replaced_marks
from plant.selectors.today import latest_day

# Seven in the evening of the 28th in UTC: the 29th in Kiritimati (UTC+14), the 28th in Honolulu.
EVENING = datetime(2026, 11, 28, 19, tzinfo=UTC)
# Three in the morning of the 29th in UTC: still the 28th in Honolulu (UTC-10).
NIGHT = datetime(2026, 11, 29, 3, tzinfo=UTC)


@pytest.mark.parametrize(
    ("zone", "moment", "day"),
    [
        ("Pacific/Kiritimati", EVENING, date(2026, 11, 29)),
        ("Pacific/Honolulu", EVENING, date(2026, 11, 28)),
        ("Pacific/Honolulu", NIGHT, date(2026, 11, 28)),
        ("UTC", NIGHT, date(2026, 11, 29)),
        # Clocks go back this night in Lisbon: one o'clock comes twice, the day once.
        ("Europe/Lisbon", datetime(2026, 10, 24, 23, 30, tzinfo=UTC), date(2026, 10, 25)),
        ("Europe/Lisbon", datetime(2026, 10, 25, 23, 30, tzinfo=UTC), date(2026, 10, 25)),
    ],
)
def test_a_plant_is_at_the_day_of_its_own_zone(zone: str, moment: datetime, day: date):
    assert Plant(time_zone=zone).day_of(moment) == day


def test_a_list_over_several_plants_leaves_out_nothing_of_the_first_to_begin_the_day():
    plants = [Plant(time_zone="Pacific/Honolulu"), Plant(time_zone="Pacific/Kiritimati")]

    assert latest_day(plants, EVENING) == date(2026, 11, 29)


def test_what_was_fitted_today_is_drawn_as_new_although_utc_is_a_day_behind():
    today = Plant(time_zone="Pacific/Kiritimati").day_of(EVENING)
    part = Component(pk=1, name="Drive pulley", first_m=10, fitted_on=today)

    (mark,) = replaced_marks([part], today, str)

    assert "2026-11-29" in mark.label
