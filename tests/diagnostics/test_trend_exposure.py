"""What the trend of a belt divides its cases by."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.urls import reverse

from diagnostics.models import Case
from plant.metering.readings import MeterQuantity
from plant.models import Conveyor
from plant.roles import Role
from plant.services.reading_meters import NewReading, keep_reading
from tests.diagnostics.factories import take
from tests.plant import factories as register
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db
PERIOD = {"since": "2026-01-01", "until": "2026-03-31"}


@pytest.fixture
def belt() -> Conveyor:
    return register.make_complete_conveyor(register.make_plant(), tag="Q30")


def keep(belt: Conveyor, month: int, figure: str, year: int = 2026) -> None:
    at = datetime(year, month, 1, tzinfo=UTC)
    new = NewReading(MeterQuantity.RUNNING_HOURS, at, Decimal(figure))
    keep_reading(conveyor_id=belt.pk, new=new, by=None, now=datetime(2027, 1, 1, tzinfo=UTC))


def open_case(belt: Conveyor, month: int, day: int) -> None:
    case = take(belt).case
    assert case is not None
    opened_at = datetime(2026, month, day, tzinfo=UTC)
    Case.objects.filter(pk=case.pk).update(opened_at=opened_at, state="closed")


def read(belt: Conveyor) -> str:
    lead = signed_in(register.make_person(Role.LEAD, plants=[belt.plant]))
    address = reverse("conveyor-trend", args=[belt.plant.code, belt.tag])
    text = lead.get(address, PERIOD).content.decode()
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


def test_a_period_that_readings_cover_counts_running_hours(belt: Conveyor):
    keep(belt, 1, "1000")
    keep(belt, 4, "2000")
    open_case(belt, 2, 1)
    open_case(belt, 3, 1)

    text = read(belt)

    assert "Exposure is running time by the meter: 1,000 h." in text
    assert "2.00 in 1,000 running hours" in text
    assert "calendar time" not in text


def test_readings_of_a_part_count_only_the_cases_of_that_part(belt: Conveyor):
    keep(belt, 1, "1000")
    keep(belt, 3, "1500")
    open_case(belt, 2, 1)
    open_case(belt, 3, 15)

    text = read(belt)

    assert "Exposure is calendar time" in text
    assert "Nothing is known after the last reading, of 2026-03-01 00:00." in text
    assert "From 2026-01-01 to 2026-03-01 the meter counted 500 h of running." in text
    assert "1 case in that time" in text
    assert "2.00 in 1,000 running hours" in text


def test_a_belt_that_stood_still_divides_by_nothing(belt: Conveyor):
    keep(belt, 1, "1000")
    keep(belt, 4, "1000")
    open_case(belt, 2, 1)

    text = read(belt)

    assert "running time by the meter: 0 h." in text
    assert "in 1,000 running hours" not in text


def test_without_readings_it_is_calendar_time(belt: Conveyor):
    open_case(belt, 2, 1)

    text = read(belt)

    assert "Exposure is calendar time" in text
    assert "No meter reading is kept." in text
