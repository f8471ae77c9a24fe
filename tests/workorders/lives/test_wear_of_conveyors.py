"""The wear of a conveyor's spots as rows tell it: limits, renewals, running hours."""

from datetime import date, timedelta
from typing import Any

import pytest

from plant.loop.condition import Quantity
from plant.loop.rolls import RollPlace
from plant.models import Conveyor
from tests.plant import meter_rows, roll_rows
from tests.plant.condition_rows import START, read
from tests.plant.factories import make_complete_conveyor, make_plant
from workorders.life_subjects import Renewed
from workorders.models import ConditionLimit
from workorders.planning.wear import WearState
from workorders.selectors import limits
from workorders.selectors.limits import LimitInForce, Scope
from workorders.selectors.renewals import SpotKey
from workorders.selectors.wear import ConveyorWear, SpotWear
from workorders.services import keeping_limits, renewing
from workorders.services.keeping_limits import NewLimit
from workorders.services.renewing import NewRenewal

pytestmark = pytest.mark.django_db
NOW = START + timedelta(days=300)
LAGGING, SHELL = Quantity.LAGGING_THICKNESS, Quantity.ROLL_SHELL_THICKNESS


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor(make_plant(), tag="Q30")


def wear(conveyor: Conveyor, values: list[float], of: str = "Head pulley", **more: Any) -> SpotWear:
    """One reading each hundred days."""
    for number, value in enumerate(values):
        read(conveyor, of, value, day=100 * number, **{"spot": "middle", **more})
    return spot(conveyor)


def spot(conveyor: Conveyor) -> SpotWear:
    (only,) = ConveyorWear(conveyor, NOW).spots()
    return only


def limit(at: Conveyor, value: float | None, **more: Any) -> ConditionLimit:
    new = NewLimit(LAGGING, value, **more)
    return keeping_limits.set_limit(plant=at.plant, new=new, by=None, now=NOW)


def test_the_day_the_limit_is_met_is_where_the_line_meets_it(conveyor: Conveyor):
    # By hand: 1 mm in a hundred days, 12 mm at first, so 4 mm after 800 days.
    found = wear(conveyor, [12.0, 11.0, 10.0])

    assert found.wear is not None
    assert found.wear.state is WearState.WEARING
    assert found.met_on == (START + timedelta(days=800)).date()
    assert not found.clock.is_running
    assert found.limit.scope is Scope.USUAL


def test_the_narrower_limit_counts_and_an_empty_one_gives_way(conveyor: Conveyor):
    wear(conveyor, [12.0, 11.0, 10.0])
    head = conveyor.components.get(name="Head pulley")

    limit(conveyor, 5.0)
    assert spot(conveyor).met_on == (START + timedelta(days=700)).date()
    limit(conveyor, 6.0, conveyor=conveyor)
    assert spot(conveyor).met_on == (START + timedelta(days=600)).date()
    limit(conveyor, 7.0, conveyor=conveyor, component=head)
    assert spot(conveyor).met_on == (START + timedelta(days=500)).date()
    limit(conveyor, None, conveyor=conveyor, component=head)
    assert spot(conveyor).limit.scope is Scope.CONVEYOR


def test_a_limit_taken_back_leaves_the_one_before(conveyor: Conveyor):
    wear(conveyor, [12.0, 11.0, 10.0])
    limit(conveyor, 5.0)
    slip = limit(conveyor, 50.0)
    assert spot(conveyor).wear.state is WearState.PAST_LIMIT

    keeping_limits.take_back_limit(limit_id=slip.pk, by=None, now=NOW)

    assert spot(conveyor).limit.value == 5.0
    (lagging, *_rest) = limits.plant_limits(conveyor.plant)
    assert lagging == (LAGGING, LimitInForce(5.0, Scope.PLANT))


def test_re_lagging_starts_the_line_anew_and_taking_it_back_does_not(conveyor: Conveyor):
    found = wear(conveyor, [12.0, 8.0, 14.0])
    assert found.wear.state is WearState.NOT_WEARING
    new = NewRenewal(Renewed.LAGGING, found.key, (START + timedelta(days=150)).date(), True)

    kept = renewing.record_renewal(conveyor_id=conveyor.pk, new=new, by=None, now=NOW)

    anew = spot(conveyor)
    assert [one.value for one in anew.taken] == [14.0]
    assert (anew.older, anew.wear.state) == (2, WearState.TOO_FEW)
    renewing.take_back_renewal(renewal_id=kept.pk, by=None, now=NOW)
    assert len(spot(conveyor).taken) == 3


def test_the_same_renewal_is_not_written_down_twice(conveyor: Conveyor):
    found = wear(conveyor, [12.0, 8.0])
    new = NewRenewal(Renewed.LAGGING, found.key, date(2026, 7, 1), True)
    renewing.record_renewal(conveyor_id=conveyor.pk, new=new, by=None, now=NOW)

    with pytest.raises(renewing.RenewedThenAlready):
        renewing.record_renewal(conveyor_id=conveyor.pk, new=new, by=None, now=NOW)


@pytest.mark.parametrize(
    ("changed", "count"), [(RollPlace.LEFT_WING, 1), (RollPlace.RIGHT_WING, 2)]
)
def test_a_new_roll_starts_the_line_of_its_own_spot_only(conveyor: Conveyor, changed, count):
    for number, value in enumerate([5.0, 4.0]):
        # The first before the change of the 10th of March, the second after it.
        read(conveyor, "C", value, day=30 * number, quantity=SHELL, set_number=3, spot="Left wing")
    roll_rows.change(conveyor, "3", changed)

    assert len(spot(conveyor).taken) == count


def test_running_hours_count_where_the_meter_covers_the_readings(conveyor: Conveyor):
    # Twelve hours a day: the belt wears by the hour, so the day is the same and the hours half.
    meter_rows.keep(conveyor, 0, "1000")
    meter_rows.keep(conveyor, 200, "3400")
    found = wear(conveyor, [12.0, 11.0, 10.0])

    assert found.clock.is_running
    assert found.wear.rate == pytest.approx(1 / 1200)
    assert found.met_on == (START + timedelta(days=800)).date()


def test_a_spot_without_any_limit_says_so(conveyor: Conveyor):
    more = {"quantity": Quantity.TAKE_UP_TRAVEL_USED, "spot": ""}
    found = wear(conveyor, [0.4, 0.6], of="Take-up", **more)

    assert found.wear is None
    assert found.limit.value is None


def test_spots_that_differ_in_case_only_are_one_and_other_belts_do_not_count(conveyor: Conveyor):
    read(conveyor, "Head pulley", 12.0, spot="Middle")
    read(conveyor, "Head pulley", 11.0, day=100, spot="middle")
    read(conveyor, "", 6.0, quantity=Quantity.CARRY_COVER_THICKNESS)
    conveyor.belts.update(removed_on=date(2026, 8, 1))

    assert len(spot(conveyor).taken) == 2


def test_queries_do_not_grow_with_the_spots(conveyor: Conveyor, django_assert_num_queries):
    for number in range(12):
        read(conveyor, "C", 5.0, quantity=SHELL, set_number=number + 1, spot="centre")

    with django_assert_num_queries(8):
        assert len(ConveyorWear(conveyor, NOW).spots()) == 12


def test_a_renewal_of_one_spot_leaves_the_others(conveyor: Conveyor):
    for spot_name in ("left", "middle"):
        read(conveyor, "Head pulley", 9.0, spot=spot_name)
    pulley = conveyor.components.get(name="Head pulley")
    key = SpotKey(pulley.pk, None, None, "left", LAGGING)
    new = NewRenewal(Renewed.LAGGING, key, date(2026, 5, 1), True, is_all=False)
    renewing.record_renewal(conveyor_id=conveyor.pk, new=new, by=None, now=NOW)

    found = {one.key.spot: len(one.taken) for one in ConveyorWear(conveyor, NOW).spots()}
    assert found == {"left": 0, "middle": 1}
