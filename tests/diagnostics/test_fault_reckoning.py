"""Recurring faults reckoned from rows: what each belt is told."""

from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from diagnostics import fixes
from diagnostics.fault_choice import FaultChoice, Span
from diagnostics.fixes import Fix
from diagnostics.models import BeltFaults, Case, FaultReckoning
from diagnostics.recurrence.faults.detail import BeltDetail, FailedMend, TriedMend
from diagnostics.recurrence.faults.notes import About
from diagnostics.selectors import reckoned_faults
from diagnostics.services import fault_reckoning
from plant.metering.basis import Basis
from plant.models import Conveyor, ConveyorChange, Plant
from tests.diagnostics import factories
from tests.diagnostics.fault_rows import days_ago, faults_of, make_cases, read_hours, reckon

pytestmark = pytest.mark.django_db
EVERY_CASE = FaultChoice()


@pytest.fixture
def belts(plant: Plant) -> list[Conveyor]:
    return [factories.make_bare_conveyor(plant, tag=f"Q{number}") for number in range(4)]


def look(plant: Plant, choice: FaultChoice = EVERY_CASE, **later: float) -> FaultReckoning:
    return fault_reckoning.look(plant, choice, timezone.now() + timedelta(**later))


def detail(row: BeltFaults) -> BeltDetail:
    return BeltDetail.of_json(row.detail)


def test_cases_of_the_period_are_counted_by_belt(plant, belts):
    make_cases(belts[0], [5, 40, 300], lost_hours=1.5)
    make_cases(belts[0], [60], zone="", cause_class="")
    make_cases(belts[1], [600])
    make_cases(belts[1], [10], state="not mistracking")
    make_cases(belts[2], [20], cause_class="loading", lost_hours=None)

    one = reckon(plant)
    worst = faults_of(one, belts[0])

    assert (worst.events, worst.lost_hours, worst.lost_hours_unsaid) == (4, 4.5, 1)
    assert (worst.leading_family, worst.leading_events) == ("return_idler", 3)
    assert detail(worst).families == (("return_idler", 3), ("", 1))
    assert detail(worst).zones == (("tail", 3), ("", 1))
    assert sum(worst.course) == 4
    assert [faults_of(one, belt).events for belt in belts] == [4, 0, 1, 0]
    found = reckoned_faults.plant_faults(one)
    assert found is not None
    assert (found.belts, found.events, found.lost_hours) == (4, 5, 4.5)
    assert len(found.course) == len(found.stretches) == len(worst.course)
    assert found.stretches[-1] == one.last_on.replace(day=1).isoformat()


def test_a_case_stands_in_the_month_it_was_opened_in_at_the_plant(plant, belts):
    now = timezone.now()
    make_cases(belts[0], [400])
    # In Halifax it is still the last of April.
    at = datetime(now.year - (now.month <= 5), 5, 1, 2, tzinfo=UTC)
    Case.objects.update(opened_at=at)

    one = reckon(plant)

    found = reckoned_faults.plant_faults(one)
    assert found is not None
    [month] = [day for day, cases in zip(found.stretches, found.course, strict=True) if cases]
    assert month[5:] == "04-01"


def test_rates_are_stated_a_year_on_the_calendar(plant, belts):
    make_cases(belts[0], [100, 200, 300])

    one = reckon(plant)
    row = faults_of(one, belts[0])

    assert one.basis == Basis.CALENDAR.value
    days = (one.last_on - one.first_on).days
    assert row.exposure == pytest.approx(days + 0.5, abs=0.6)
    assert row.rate == pytest.approx(3 / row.exposure * 365.25)
    assert row.lower < row.shrunk < row.upper


def test_rates_are_stated_in_1000_running_hours_and_cases_in_gaps_are_left_out(plant, belts):
    for belt in belts:
        read_hours(belt, (540, 0), (200, 3400), (100, 4400))
    make_cases(belts[0], [350, 150, 50])

    one = look(plant, FaultChoice(Basis.RUNNING))
    fault_reckoning.do_owed()
    row = faults_of(one, belts[0])

    assert row.events == 3
    assert (detail(row).counted, detail(row).left_out) == (2, 1)
    assert row.exposure == pytest.approx(4400)
    assert row.rate == pytest.approx(2 / 4400 * 1000)
    assert row.unknown_days == pytest.approx(100 + 8, abs=2)
    assert detail(row).why_unknown == "after_last"
    assert len(detail(row).gaps) == 2
    one.refresh_from_db()
    found = reckoned_faults.plant_faults(one)
    assert found is not None
    assert {(note.about, note.count) for note in found.notes} >= {(About.IN_GAPS, 1)}


def test_a_belt_without_a_meter_has_no_rate_in_running_hours_and_says_why(plant, belts):
    make_cases(belts[0], [350])

    one = look(plant, FaultChoice(Basis.RUNNING))
    fault_reckoning.do_owed()
    row = faults_of(one, belts[0])

    assert (row.events, row.exposure, row.rate, row.shrunk) == (1, None, None, None)
    assert detail(row).why_unknown == "no_readings"


def test_a_retired_belt_is_watched_until_then_and_one_retired_before_is_left_out(plant, belts):
    make_cases(belts[0], [400, 300])
    belts[0].retired_on = days_ago(200).date()
    belts[1].retired_on = days_ago(900).date()
    for belt in belts[:2]:
        belt.save()

    one = reckon(plant)
    row = faults_of(one, belts[0])

    assert row.exposure == pytest.approx((belts[0].retired_on - one.first_on).days + 1, abs=0.1)
    assert detail(row).watched_until
    assert not BeltFaults.objects.filter(reckoning=one, conveyor=belts[1]).exists()


def test_a_belt_that_came_in_late_is_watched_from_then_on(plant, belts):
    make_cases(belts[0], [500, 450])
    # The plant's register is older than the belt.
    ConveyorChange.objects.exclude(pgh_obj=belts[3]).update(pgh_created_at=days_ago(700))
    ConveyorChange.objects.filter(pgh_obj=belts[3]).update(pgh_created_at=days_ago(100))
    make_cases(belts[3], [50])

    one = reckon(plant)
    row = faults_of(one, belts[3])

    assert row.exposure == pytest.approx(100, abs=0.1)
    assert detail(row).watched_from
    assert row.rate == pytest.approx(365.25 / 100, rel=0.01)


def test_of_a_family_only_its_cases_count(plant, belts):
    make_cases(belts[0], [5, 40])
    make_cases(belts[0], [60, 70, 80], cause_class="loading")

    one = look(plant, FaultChoice(family="return_idler", span=Span.YEAR.value))
    fault_reckoning.do_owed()

    assert faults_of(one, belts[0]).events == 2


@pytest.fixture
def mended(monkeypatch: pytest.MonkeyPatch) -> dict[int, list[Fix]]:
    """Work that was done, by case; asked for once."""
    done: dict[int, list[Fix]] = {}
    monkeypatch.setattr(
        fixes, "_sources", {"done": lambda keys: {k: done.get(k, []) for k in keys}}
    )
    return done


def test_the_mend_that_did_not_hold_is_told_with_how_long_and_where(plant, belts, mended):
    first, second = make_cases(
        belts[0], [400, 300], position_m=40.0, proved_at=days_ago(290), repeat_of=None
    )
    Case.objects.filter(pk=first.pk).update(proved_at=days_ago(390))
    Case.objects.filter(pk=second.pk).update(repeat_of=first)
    [third] = make_cases(belts[0], [250], position_m=90.0, repeat_of=second)
    mended[first.pk] = [Fix("LT-W-1", "Square R9", None, "/", "square-idlers")]
    mended[second.pk] = [
        Fix("LT-W-2", "Clean R9", None, "/", "clean"),
        Fix("LT-W-3", "Square R9 again", None, "/", "square-idlers"),
    ]

    found = detail(faults_of(reckon(plant), belts[0]))

    assert [(one.earlier, one.case, one.order) for one in found.failed] == [
        (first.number, second.number, "LT-W-1"),
        (second.number, third.number, "LT-W-3"),
    ]
    assert found.last_failed == FailedMend(
        case=third.number,
        earlier=second.number,
        back_on=third.opened_at.astimezone(plant.zone_info).date().isoformat(),
        family="return_idler",
        days_held=40,
        order="LT-W-3",
        title="Square R9 again",
        method="square-idlers",
        is_same_place=False,
    )
    assert found.failed[0].is_same_place is True
    assert found.mends == (
        TriedMend("square-idlers", "Square R9 again", 2, 2),
        TriedMend("clean", "Clean R9", 1, 1),
    )


def test_places_near_each_other_round_the_end_of_the_loop_are_the_same(plant, mended):
    belt = factories.make_conveyor(plant, tag="Q9")
    [first] = make_cases(belt, [300], position_m=2.0, proved_at=days_ago(290))
    make_cases(belt, [250], position_m=119.0, repeat_of=first)

    [failed] = detail(faults_of(reckon(plant), belt)).failed

    assert failed.is_same_place is True
    assert failed.order == ""


@pytest.mark.parametrize("state", ["cancelled", "not mistracking"])
def test_a_repeat_that_was_none_makes_no_mend_a_failed_one(plant, belts, mended, state: str):
    [one, _two] = make_cases(belts[0], [200, 100])
    make_cases(belts[0], [50], repeat_of=one, state=state)
    mended[one.pk] = [Fix("LT-W-1", "Square R9", None, "/", "square-idlers")]

    [tried] = detail(faults_of(reckon(plant), belts[0])).mends

    assert (tried.times, tried.came_back) == (1, 0)


def test_mends_of_another_family_than_the_leading_one_are_not_among_those_tried(
    plant, belts, mended
):
    [one, _two] = make_cases(belts[0], [200, 100])
    [other] = make_cases(belts[0], [50], cause_class="loading")
    mended[one.pk] = [Fix("LT-W-1", "Square R9", None, "/", "square-idlers")]
    mended[other.pk] = [Fix("LT-W-2", "Centre the chute", None, "/", "centre-load")]

    found = detail(faults_of(reckon(plant), belts[0]))

    assert [mend.method for mend in found.mends] == ["square-idlers"]


def test_a_reckoning_takes_as_many_queries_for_many_belts_as_for_few(
    plant, belts, mended, django_assert_max_num_queries
):
    def fill(belt: Conveyor) -> None:
        [case] = make_cases(belt, [300], position_m=10.0, proved_at=days_ago(290))
        make_cases(belt, [100], position_m=50.0, repeat_of=case)

    def counted() -> int:
        with django_assert_max_num_queries(80) as asked:
            reckon(plant)
        return len(asked)

    for belt in belts:
        fill(belt)
    reckon(plant)
    few = counted()
    for number in range(20):
        fill(factories.make_bare_conveyor(plant, tag=f"R{number}"))

    assert counted() == few


def test_a_plant_without_cases_has_belts_with_counts_of_zero(plant, belts):
    one = reckon(plant)

    assert set(one.belts.values_list("events", "shrunk", "trend")) == {(0, 0.0, 0)}
    found = reckoned_faults.plant_faults(one)
    assert found is not None
    assert [note.about for note in found.notes] == [About.NO_EVENTS]


def test_a_plant_without_belts_can_be_reckoned(plant):
    one = reckon(plant)

    assert one.refusal == ""
    assert one.belts.count() == 0


def test_cases_of_another_plant_are_not_counted(plant, belts):
    other = factories.make_bare_conveyor(factories.make_plant())
    make_cases(other, [10, 20])

    one = reckon(plant)

    assert reckoned_faults.plant_faults(one).events == 0  # type: ignore[union-attr]
    assert not one.belts.filter(conveyor=other).exists()
