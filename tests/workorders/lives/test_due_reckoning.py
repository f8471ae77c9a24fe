"""What is due of a conveyor, reckoned from readings and lives, and when it is owed anew."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

import pytest

from plant.loop.condition import Quantity
from plant.models import Conveyor
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders import lives_rows
from tests.workorders.lives_rows import change_rolls, reckon, wear_down
from workorders.life_subjects import LifeSubject, Renewed
from workorders.models import DueItem, DueState, Renewal
from workorders.selectors.due_things import DueThing
from workorders.selectors.life_answers import PlantAnswers
from workorders.selectors.wear import ConveyorWear
from workorders.services import due_reckoning

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 2, 12, tzinfo=UTC)
TODAY = NOW.date()
SHELL = Quantity.ROLL_SHELL_THICKNESS


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor(make_plant(), tag="Q30")


def owed(conveyor: Conveyor, now: datetime = NOW) -> bool:
    rows = Conveyor.objects.filter(pk=conveyor.pk)
    return due_reckoning.owed_conveyors(rows, now).exists()


def test_the_spot_that_meets_its_limit_first_says_when(conveyor: Conveyor):
    # By hand, from 100 days ago: 4 mm is met 200 and 300 days after that at 1 mm in 100 days.
    wear_down(conveyor, "Head pulley", [6.0, 5.0], now=NOW, spot="left")
    wear_down(conveyor, "Head pulley", [7.0, 6.0], now=NOW, spot="right")

    (item,) = reckon(conveyor, now=NOW)

    assert (item.what, item.reason, item.where) == ("lagging", "wear", "Head pulley")
    assert item.due_on == TODAY + timedelta(days=100)
    assert (item.count, item.work_method) == (2, "renew-lagging")
    assert item.why["spot"] == "left"


def test_a_conveyor_that_cannot_be_reckoned_stops_no_other_and_stays_owed(
    conveyor: Conveyor, monkeypatch: pytest.MonkeyPatch
):
    other = make_complete_conveyor(conveyor.plant, tag="Q31")
    for one in (conveyor, other):
        wear_down(one, "Head pulley", [6.0, 5.0], now=NOW)
    things_due = due_reckoning.things_due

    def failing(wear: ConveyorWear, answers: PlantAnswers) -> Iterable[DueThing]:
        if wear.conveyor.pk == conveyor.pk:
            raise ValueError("a figure nobody thought of")
        return things_due(wear, answers)

    monkeypatch.setattr(due_reckoning, "things_due", failing)

    assert due_reckoning.reckon([conveyor, other], NOW) == 1

    assert [one.conveyor for one in DueItem.objects.all()] == [other]
    assert (owed(conveyor), owed(other)) == (True, False)


def test_a_limit_that_is_met_is_due_now_and_what_lies_years_ahead_is_not_listed(
    conveyor: Conveyor,
):
    wear_down(conveyor, "Head pulley", [4.4, 3.9], now=NOW)
    wear_down(conveyor, "Tail pulley", [12.0, 11.9], now=NOW)

    (item,) = reckon(conveyor, now=NOW)

    assert (item.where, item.reason, item.due_on) == ("Head pulley", "limit_met", TODAY)


def test_shell_temperature_and_noise_of_a_set_are_one_row_of_rolls(conveyor: Conveyor):
    of_set = {"set_number": 5, "now": NOW}
    wear_down(conveyor, "C", [3.0, 2.5], quantity=SHELL, spot="left wing", **of_set)
    noise = Quantity.NOISE_GRADE
    wear_down(conveyor, "C", [2, 5], quantity=noise, spot="centre roll", **of_set)

    (item,) = reckon(conveyor, now=NOW)

    assert (item.what, item.where, item.count) == ("rolls", "C5", 2)
    assert item.reason == "limit_met"
    assert item.position_m == pytest.approx(6 + 4 * 1.5)


def test_a_thing_that_stays_keeps_its_row_and_one_that_goes_loses_it(conveyor: Conveyor):
    wear_down(conveyor, "Head pulley", [6.0, 5.0], now=NOW)
    (item,) = reckon(conveyor, now=NOW)
    lives_rows.set_limit(conveyor.plant, 3.0, NOW)

    (again,) = reckon(conveyor, now=NOW)
    assert (again.pk, again.due_on) == (item.pk, TODAY + timedelta(days=200))

    lives_rows.set_limit(conveyor.plant, 0.5, NOW)
    assert reckon(conveyor, now=NOW) == []


def test_a_list_is_owed_at_first_and_after_each_change(conveyor: Conveyor):
    assert owed(conveyor)
    reckon(conveyor, now=NOW)
    assert not owed(conveyor)

    (reading, _last) = wear_down(conveyor, "Head pulley", [6.0, 5.0], now=NOW)
    assert owed(conveyor)
    reckon(conveyor, now=NOW)
    lives_rows.set_limit(conveyor.plant, 3.0, NOW)
    assert owed(conveyor)
    reckon(conveyor, now=NOW)
    lives_rows.renew_lagging(conveyor, reading, NOW)
    assert owed(conveyor)
    reckon(conveyor, now=NOW)
    assert owed(conveyor, NOW + timedelta(days=1))


def test_a_change_that_came_while_it_was_reckoned_leaves_it_owed(conveyor: Conveyor, monkeypatch):
    reckon(conveyor, now=NOW)
    before = due_reckoning.things_due

    def and_somebody_sets_a_limit(*given: object) -> list[object]:
        lives_rows.set_limit(conveyor.plant, 3.0, NOW)
        return before(*given)

    monkeypatch.setattr(due_reckoning, "things_due", and_somebody_sets_a_limit)
    reckon(conveyor, now=NOW)

    assert owed(conveyor)


def worn_rolls(conveyor: Conveyor) -> None:
    """Sixty sets fitted 1000 days ago, ten of whose centre rolls seized about day 700."""
    group = conveyor.components.get(name="C")
    group.fitted_on = TODAY - timedelta(days=1000)
    group.save()
    for number in range(10):
        day = group.fitted_on + timedelta(days=640 + 12 * number)
        change_rolls(conveyor, str(number + 1), on=day)


def test_rolls_that_came_together_are_due_together_by_their_age(conveyor: Conveyor):
    worn_rolls(conveyor)
    reckon(conveyor, now=NOW)
    assert not DueItem.objects.exists(), "nobody said what a roll costs"
    lives_rows.set_costs(conveyor.plant, LifeSubject.TROUGHING, NOW)

    items = reckon(conveyor, now=NOW)

    first = items[0]
    assert (first.reason, first.what, first.where) == ("age", "rolls", "C")
    # Three rolls in sixty sets, the ten centre rolls changed since left out.
    assert first.count == 170
    assert first.sets == ["C1\N{EN DASH}C60"]
    assert first.why["failures"] == 10
    assert first.why["basis"] == "group"


def test_a_set_with_a_line_of_its_own_is_not_also_due_by_its_age(conveyor: Conveyor):
    worn_rolls(conveyor)
    lives_rows.set_costs(conveyor.plant, LifeSubject.TROUGHING, NOW)
    wear_down(conveyor, "C", [3.0, 2.5], quantity=SHELL, set_number=60, spot="centre", now=NOW)

    by_reason = {one.reason: one for one in reckon(conveyor, now=NOW)}

    assert by_reason["age"].count == 167
    assert by_reason["age"].sets == ["C1\N{EN DASH}C59"]
    assert by_reason["wear"].where == "C60"


def test_lagging_and_bearings_renewed_together_are_two_rows_by_their_age(conveyor: Conveyor):
    pulley = conveyor.components.get(name="Head pulley")
    for subject, what in (
        (LifeSubject.LAGGING, Renewed.LAGGING),
        (LifeSubject.BEARING, Renewed.BEARING),
    ):
        lives_rows.set_costs(conveyor.plant, subject, NOW)
        # About every 500 days, the last time 450 days ago.
        for number in range(7):
            day = TODAY - timedelta(days=450 + 500 * number + 7 * (number % 3))
            Renewal.objects.create(
                conveyor=conveyor, component=pulley, what=what, renewed_on=day, kept_at=NOW
            )

    rows = reckon(conveyor, now=NOW)

    assert {(one.reason, one.what, one.where) for one in rows} == {
        ("age", "lagging", "Head pulley"),
        ("age", "bearing", "Head pulley"),
    }


def test_early_failures_make_nothing_due(conveyor: Conveyor):
    group = conveyor.components.get(name="C")
    group.fitted_on = TODAY - timedelta(days=1000)
    group.save()
    # One half within weeks, the others never: a shape below 1.
    for number in range(8):
        day = group.fitted_on + timedelta(days=2**number)
        change_rolls(conveyor, str(number + 1), on=day)
    lives_rows.set_costs(conveyor.plant, LifeSubject.TROUGHING, NOW)

    assert reckon(conveyor, now=NOW) == []


def test_the_sweep_reckons_what_is_owed_and_then_nothing(conveyor: Conveyor):
    assert due_reckoning.reckon_owed() == 1
    assert due_reckoning.reckon_owed() == 0
    assert DueState.objects.get().conveyor == conveyor


def test_a_retired_conveyor_is_not_reckoned(conveyor: Conveyor):
    conveyor.retired_on = TODAY
    conveyor.save()

    assert not owed(conveyor)


def test_the_cover_of_a_belt_is_due_as_the_belt(conveyor: Conveyor):
    cover = Quantity.CARRY_COVER_THICKNESS
    wear_down(conveyor, "", [3.5, 2.5], quantity=cover, now=NOW)

    (item,) = reckon(conveyor, now=NOW)

    assert (item.what, item.due_on) == (Renewed.COVERS.value, TODAY + timedelta(days=100))
