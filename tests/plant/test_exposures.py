"""Clocks of many belts from their meters, since when each is watched, and the usual basis."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from plant.metering.basis import Basis
from plant.metering.readings import MeterQuantity, WentOn
from plant.metering.watching import Records, watched_since
from plant.models import Conveyor, ConveyorChange, Plant
from plant.selectors import exposures
from tests.plant.factories import make_conveyor, make_plant
from tests.plant.meter_rows import days, keep

pytestmark = pytest.mark.django_db
ALL = Conveyor.objects.all


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def belt(plant: Plant) -> Conveyor:
    return set_up(make_conveyor(plant))


def set_up(conveyor: Conveyor, day: float = -100) -> Conveyor:
    """Entered in the register on a day."""
    ConveyorChange.objects.filter(pgh_obj=conveyor).update(pgh_created_at=days(day))
    return conveyor


def test_a_meter_is_read_over_its_gaps_and_into_the_readings_next_to_the_period(belt: Conveyor):
    keep(belt, 0, "100")
    keep(belt, 10, "220")
    keep(belt, 20, None, went_on=WentOn.REPLACED, new_meter_first="5")
    keep(belt, 30, "65")

    clock = exposures.clocks_of(ALL(), days(5), days(25), Basis.RUNNING)[belt.pk]

    assert clock.total == pytest.approx(60 + 30)
    assert clock.unknown_days == pytest.approx(10)
    assert clock.at(days(22)) == pytest.approx(60 + 12)


def test_tonnes_and_running_hours_are_kept_apart(belt: Conveyor):
    keep(belt, 0, "100")
    keep(belt, 10, "200")
    keep(belt, 0, "5000", quantity=MeterQuantity.TONNES)
    keep(belt, 10, "95000", quantity=MeterQuantity.TONNES)

    tonnes = exposures.clocks_of(ALL(), days(0), days(10), Basis.TONNES)[belt.pk]

    assert tonnes.total == pytest.approx(90_000)


def test_a_belt_without_readings_has_a_clock_that_knows_nothing(belt: Conveyor):
    clock = exposures.clocks_of(ALL(), days(0), days(10), Basis.RUNNING)[belt.pk]

    assert not clock.is_known
    assert clock.unknown_days == pytest.approx(10)


def test_a_retired_belt_is_watched_to_the_end_of_its_last_day_in_its_zone(belt: Conveyor):
    Plant.objects.update(time_zone="Pacific/Auckland")
    Conveyor.objects.update(retired_on=date(2026, 3, 5))

    clock = exposures.clocks_of(ALL(), days(0), days(10), Basis.CALENDAR)[belt.pk]

    # In March Auckland is 13 hours ahead: its 6th begins on the 5th at 11 UTC.
    assert clock.last == datetime(2026, 3, 5, 11, tzinfo=UTC)
    assert clock.total == pytest.approx(4 + 11 / 24)


def test_a_belt_retired_before_the_period_has_no_clock(belt: Conveyor):
    Conveyor.objects.update(retired_on=date(2026, 2, 1))

    assert exposures.clocks_of(ALL(), days(0), days(10), Basis.CALENDAR) == {}


def test_a_belt_entered_after_the_others_is_watched_from_then_on(plant: Plant, belt: Conveyor):
    late = set_up(make_conveyor(plant), 4)

    clocks = exposures.clocks_of(ALL(), days(0), days(10), Basis.CALENDAR)

    assert clocks[belt.pk].total == pytest.approx(10)
    assert clocks[late.pk].total == pytest.approx(6)
    assert clocks[late.pk].at(days(3)) is None


def test_a_late_belt_with_older_readings_is_watched_from_these_on(plant: Plant, belt: Conveyor):
    late = set_up(make_conveyor(plant), 8)
    keep(late, 2, "0")

    clocks = exposures.clocks_of(ALL(), days(0), days(10), Basis.CALENDAR)

    assert clocks[late.pk].total == pytest.approx(8)


def test_a_plant_set_up_within_the_period_is_watched_from_then_on(plant: Plant):
    belts = [set_up(make_conveyor(plant), 3), set_up(make_conveyor(plant), 9)]

    clocks = exposures.clocks_of(ALL(), days(0), days(30), Basis.CALENDAR)

    # A register is filled over some days: all of its belts count from the first on.
    assert [clocks[one.pk].total for one in belts] == pytest.approx([27, 27])


def test_a_plant_that_brought_its_records_along_is_watched_all_the_time(plant: Plant):
    belt, other = set_up(make_conveyor(plant), 200), set_up(make_conveyor(plant), 200)
    keep(other, 5, "0")

    clocks = exposures.clocks_of(ALL(), days(0), days(30), Basis.CALENDAR)

    assert clocks[belt.pk].total == pytest.approx(30)


@pytest.mark.parametrize(
    ("entered", "first_record", "since"),
    [(0, None, 0), (0, 5, 0), (0, -3, -3), (29, None, 0), (31, None, 31), (31, 12, 12)],
)
def test_since_when_a_belt_is_watched(entered, first_record, since):
    first_at = None if first_record is None else days(first_record)
    plant = Records(days(0), min(filter(None, [first_at, days(7)])))

    assert watched_since(Records(days(entered), first_at), plant) == days(since)


@pytest.mark.parametrize("basis", list(Basis))
def test_clocks_of_more_belts_take_no_more_queries(
    plant: Plant, basis: Basis, django_assert_num_queries
):
    for _ in range(12):
        belt = set_up(make_conveyor(plant))
        for day in range(4):
            keep(belt, day * 5, str(day * 50))

    with django_assert_num_queries(4 if basis is Basis.CALENDAR else 5):
        clocks = exposures.clocks_of(ALL(), days(2), days(12), basis)

    assert len(clocks) == 12


def test_running_hours_are_usual_when_nine_of_ten_belts_are_metered_most_of_the_time(plant: Plant):
    belts = [set_up(make_conveyor(plant)) for _ in range(10)]
    for belt in belts[:9]:
        keep(belt, 0, "0")
        keep(belt, 15, "150")

    usual = exposures.usual_basis(ALL(), days(0), days(20))
    longer = exposures.usual_basis(ALL(), days(0), days(21))
    of_eight = exposures.usual_basis(ALL().exclude(pk=belts[0].pk), days(0), days(20))

    assert (usual, longer, of_eight) == (Basis.RUNNING, Basis.CALENDAR, Basis.CALENDAR)


def test_without_belts_the_calendar_is_usual():
    assert exposures.usual_basis(ALL(), days(0), days(20)) is Basis.CALENDAR


def test_days_of_a_zone_end_with_the_last_of_them_or_now():
    zone = ZoneInfo("America/Halifax")
    now = datetime(2026, 3, 4, 9, tzinfo=UTC)

    whole = exposures.instants_of(zone, date(2026, 3, 1), date(2026, 3, 2), now)
    running = exposures.instants_of(zone, date(2026, 3, 1), date(2026, 3, 31), now)
    to_come = exposures.instants_of(zone, date(2026, 4, 1), date(2026, 4, 2), now)

    # Four hours behind UTC in winter.
    assert whole == (datetime(2026, 3, 1, 4, tzinfo=UTC), datetime(2026, 3, 3, 4, tzinfo=UTC))
    assert running[1] == now
    assert to_come[1] - to_come[0] == timedelta()
