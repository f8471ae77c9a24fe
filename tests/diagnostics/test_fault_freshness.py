"""What stands is as fresh as it says: owed anew when something changed, forgotten when unlooked."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from diagnostics.fault_choice import FaultChoice, Span
from diagnostics.models import Case, FaultReckoning
from diagnostics.selectors import reckoned_faults
from diagnostics.services import cases, fault_reckoning
from plant import owed
from plant.metering.basis import Basis
from plant.models import Conveyor, MeterReadingChange, Plant
from plant.roles import Role
from plant.services import reading_meters
from tests.diagnostics import factories
from tests.diagnostics.fault_rows import make_cases, read_hours, reckon

pytestmark = pytest.mark.django_db
QUARTER = FaultChoice(span=Span.QUARTER.value)


@pytest.fixture
def belt(plant: Plant) -> Conveyor:
    return factories.make_bare_conveyor(plant, tag="Q7")


def reckoned(plant: Plant, choice: FaultChoice, *, ago: timedelta) -> FaultReckoning:
    """One that was looked at and reckoned so long ago, on the same day of the plant's."""
    one = fault_reckoning.look(plant, choice, timezone.now())
    fault_reckoning.do_owed()
    at = timezone.now() - ago
    FaultReckoning.objects.filter(plant=plant).update(reckoned_at=at, looked_at=at)
    # What was made for the test is older than it.
    Case.objects.update(changed_at=at - timedelta(days=1))
    Conveyor.objects.update(changed_at=at - timedelta(days=1))
    one.refresh_from_db()
    return one


def is_owed(one: FaultReckoning, now=None) -> bool:
    fault_reckoning.owe_stale(now or timezone.now())
    one.refresh_from_db()
    return one.owed_at is not None


def test_with_nothing_changed_nothing_is_owed(plant, belt):
    make_cases(belt, [10, 20])
    one = reckoned(plant, QUARTER, ago=timedelta(hours=7))

    assert not is_owed(one)
    assert reckoned_faults.freshness_of(one, timezone.now()).is_fresh
    assert fault_reckoning.do_owed() == 0


def test_a_new_case_owes_what_stands_and_is_told_as_not_counted_yet(plant, belt):
    make_cases(belt, [10, 20])
    one = reckoned(plant, QUARTER, ago=timedelta(hours=7))
    make_cases(belt, [0.01])

    fresh = reckoned_faults.freshness_of(one, timezone.now())
    assert (fresh.cases, fresh.readings, fresh.new_day, fresh.is_fresh) == (1, 0, False, False)
    assert fresh.reckoned_at == one.reckoned_at
    assert is_owed(one)

    fault_reckoning.do_owed()
    one.refresh_from_db()
    assert one.result["events"] == 3
    assert reckoned_faults.freshness_of(one, timezone.now()).is_fresh


def test_lost_hours_noted_by_a_person_owe_what_stands(plant, belt):
    [case] = make_cases(belt, [10])
    one = reckoned(plant, QUARTER, ago=timedelta(hours=7))

    lead = factories.make_person(Role.LEAD, plant)
    cases.note_lost_hours(case_id=case.pk, lost_hours=Decimal(2), by=lead)

    assert is_owed(one)


def test_of_what_nobody_looks_at_right_now_six_hours_pass_first(plant, belt):
    make_cases(belt, [10, 20])
    one = reckoned(plant, QUARTER, ago=timedelta(hours=5))
    make_cases(belt, [0.01])

    assert not is_owed(one)
    assert is_owed(one, timezone.now() + timedelta(hours=1.1))


def test_of_what_somebody_looks_at_ten_minutes_pass_first(plant, belt):
    make_cases(belt, [10, 20])
    one = reckoned(plant, QUARTER, ago=timedelta(minutes=8))
    make_cases(belt, [0.001])

    assert not is_owed(one)
    assert is_owed(one, timezone.now() + timedelta(minutes=3))


def test_the_usual_choice_is_kept_fresh_though_nobody_looks(plant, belt):
    make_cases(belt, [10, 20])
    owed.run_long()
    one = FaultReckoning.objects.get(plant=plant)
    assert one.is_usual
    assert one.result["events"] == 2

    long_ago = timezone.now() - timedelta(days=90)
    FaultReckoning.objects.update(
        looked_at=long_ago, reckoned_at=timezone.now() - timedelta(hours=1)
    )
    make_cases(belt, [0.001])
    owed.run_long()

    one.refresh_from_db()
    assert one.result["events"] == 3


def test_plants_without_cases_are_reckoned_only_when_somebody_looks(plant, belt):
    owed.run_long()

    assert not FaultReckoning.objects.exists()


def test_a_reading_owes_what_is_divided_by_running_hours_and_not_the_calendar(plant, belt):
    make_cases(belt, [10, 20])
    by_hours = FaultChoice(Basis.RUNNING, span=Span.QUARTER.value)
    fault_reckoning.look(plant, by_hours, timezone.now())
    calendar = reckoned(plant, QUARTER, ago=timedelta(hours=7))
    running = fault_reckoning.look(plant, by_hours, timezone.now())

    read_hours(belt, (1, 100))

    assert reckoned_faults.freshness_of(running, timezone.now()).readings == 1
    assert reckoned_faults.freshness_of(calendar, timezone.now()).readings == 0
    assert is_owed(running)
    assert not is_owed(calendar)


def test_a_belt_that_is_retired_owes_what_stands(plant, belt):
    make_cases(belt, [10, 20])
    one = reckoned(plant, QUARTER, ago=timedelta(hours=7))
    belt.retired_on = timezone.now().date()
    belt.save()

    assert is_owed(one)


def test_a_change_at_another_plant_owes_nothing(plant, belt):
    make_cases(belt, [10, 20])
    one = reckoned(plant, QUARTER, ago=timedelta(hours=7))
    make_cases(factories.make_bare_conveyor(factories.make_plant()), [1])

    assert not is_owed(one)
    assert reckoned_faults.freshness_of(one, timezone.now()).cases == 0


def test_a_new_day_of_the_plant_s_owes_what_moves_with_it(belt, plant):
    # On the first of the two instants it is the same day in Honolulu as in London, on the second
    # only in Honolulu.
    make_cases(belt, [10, 20])
    one = reckoned(plant, QUARTER, ago=timedelta(hours=1))
    today = one.last_on
    Plant.objects.filter(pk=plant.pk).update(time_zone="UTC")
    one.refresh_from_db()

    evening = timezone.now().replace(
        year=today.year, month=today.month, day=today.day, hour=23, minute=30
    )
    FaultReckoning.objects.update(looked_at=evening)
    assert not is_owed(one, evening)
    Plant.objects.filter(pk=plant.pk).update(time_zone="Pacific/Honolulu")
    assert not is_owed(one, evening + timedelta(hours=1))
    Plant.objects.filter(pk=plant.pk).update(time_zone="UTC")
    assert is_owed(one, evening + timedelta(hours=1))


def test_looking_on_a_new_day_owes_it_at_once(plant, belt):
    one = reckoned(plant, QUARTER, ago=timedelta(days=1, minutes=1))
    FaultReckoning.objects.update(last_on=one.last_on - timedelta(days=1))
    Case.objects.update(changed_at=timezone.now())

    assert fault_reckoning.look(plant, QUARTER, timezone.now()).owed_at is not None


def test_fixed_days_that_are_over_do_not_change_with_the_day(plant, belt):
    last = timezone.now().date() - timedelta(days=40)
    choice = FaultChoice(span="", first=last - timedelta(days=300), last=last)
    make_cases(belt, [100])
    one = reckoned(plant, choice, ago=timedelta(hours=30))

    assert not is_owed(one)


def test_fixed_days_that_go_on_are_counted_again_on_the_next_day(plant, belt):
    last = timezone.now().date() + timedelta(days=40)
    choice = FaultChoice(span="", first=last - timedelta(days=300), last=last)
    make_cases(belt, [100])
    one = reckoned(plant, choice, ago=timedelta(hours=30))

    assert is_owed(one)


def test_what_nobody_has_looked_at_for_two_weeks_is_forgotten_but_the_usual_choice(plant, belt):
    make_cases(belt, [10])
    one = reckoned(plant, QUARTER, ago=timedelta(hours=1))
    usual = FaultReckoning.objects.get(plant=plant, is_usual=True)

    fault_reckoning.owe_stale(timezone.now() + timedelta(days=13))
    assert FaultReckoning.objects.filter(pk=one.pk).exists()
    fault_reckoning.owe_stale(timezone.now() + timedelta(days=14.1))

    assert list(FaultReckoning.objects.all()) == [usual]


def test_of_very_many_choices_those_looked_at_longest_ago_are_forgotten(plant, belt, monkeypatch):
    monkeypatch.setattr(fault_reckoning, "MOST_A_PLANT", 3)
    usual = reckon(plant)
    now = timezone.now()
    for number, family in enumerate(["loading", "take_up", "head_pulley", "tail_pulley", "belt"]):
        fault_reckoning.look(plant, FaultChoice(family=family), now + timedelta(minutes=number))

    left = set(FaultReckoning.objects.values_list("family", flat=True))
    assert left == {"", "head_pulley", "tail_pulley", "belt"}
    assert FaultReckoning.objects.filter(pk=usual.pk).exists()


def test_what_was_stopped_is_not_owed_again_until_somebody_looks_on_another_day(plant, belt):
    make_cases(belt, [10])
    now = timezone.now()
    one = fault_reckoning.look(plant, QUARTER, now)
    fault_reckoning.ask_stop(reckoning_id=one.pk, now=now)
    make_cases(belt, [5])

    assert not is_owed(one, now + timedelta(hours=7))
    later = fault_reckoning.look(plant, QUARTER, now + timedelta(minutes=1))
    assert (later.owed_at, later.refusal) == (None, "stopped")
    assert fault_reckoning.look(plant, QUARTER, now + timedelta(days=1)).owed_at is not None


def test_the_usual_exposure_is_running_hours_once_the_belts_are_metered(plant, belt):
    make_cases(belt, [10, 20])
    owed.run_long()
    assert reckoned_faults.usual_choice(plant, timezone.now()) == FaultChoice()
    read_hours(belt, (545, 0), (200, 3400), (0.1, 5400))
    calendar = FaultReckoning.objects.get(plant=plant, is_usual=True)

    fault_reckoning.ask_again(reckoning_id=calendar.pk, now=timezone.now())
    owed.run_long()

    usual = FaultReckoning.objects.get(plant=plant, is_usual=True)
    assert (usual.basis, usual.result["events"]) == (Basis.RUNNING.value, 2)
    assert reckoned_faults.usual_choice(plant, timezone.now()) == FaultChoice(Basis.RUNNING)


def test_looking_takes_few_queries(plant, belt, django_assert_max_num_queries):
    make_cases(belt, [10])
    one = reckon(plant)

    with django_assert_max_num_queries(2):
        fault_reckoning.look(plant, FaultChoice(), timezone.now())
    with django_assert_max_num_queries(2):
        reckoned_faults.freshness_of(one, timezone.now())
    with django_assert_max_num_queries(1):
        reckoned_faults.usual_choice(plant, timezone.now())


def test_a_reading_that_was_taken_back_owes_what_was_divided_by_it(plant, belt):
    make_cases(belt, [10, 20])
    read_hours(belt, (545, 0), (200, 3400), (1, 5400))
    choice = FaultChoice(Basis.RUNNING, span=Span.QUARTER.value)
    one = reckoned(plant, choice, ago=timedelta(hours=7))
    MeterReadingChange.objects.update(pgh_created_at=one.reckoned_at - timedelta(days=1))
    assert not is_owed(one)

    last = belt.meter_readings.get(reading=5400)
    lead = factories.make_person(Role.LEAD, plant)
    reading_meters.take_back_reading(conveyor_id=belt.pk, reading_id=last.pk, by=lead)

    assert reckoned_faults.freshness_of(one, timezone.now()).readings == 1
    assert is_owed(one)


def test_with_nothing_owed_the_sweep_asks_one_thing(plant, belt, django_assert_max_num_queries):
    make_cases(belt, [10])
    owed.run_long()

    with django_assert_max_num_queries(1):
        assert fault_reckoning.do_owed() == 0


def test_a_result_by_an_older_program_is_as_none(plant, belt):
    one = reckon(plant)
    one.result["format"] = 0

    assert reckoned_faults.plant_faults(one) is None
