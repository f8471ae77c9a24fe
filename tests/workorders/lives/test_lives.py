"""Lives read from the register: published figures come out of rows, what is unknown is said."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from scipy.integrate import quad

from plant.loop.rolls import RollPlace, WhyChanged
from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Belt, Component, Conveyor
from plant.services import changing_rolls
from plant.services.changing_rolls import Changed
from tests.plant import meter_rows
from tests.plant.factories import make_complete_conveyor, make_component, make_conveyor, make_plant
from tests.workorders import lives_rows
from tests.workorders.lives_rows import change_rolls, wear_down
from workorders.life_subjects import LifeSubject
from workorders.planning.group_replacement import Scope, Trigger
from workorders.selectors.life_answers import Basis, LifeAnswer, PlantAnswers, compare_stretches
from workorders.selectors.lives import PlantLives

pytestmark = pytest.mark.django_db
# Midnight at the plant, so that a roll changed today has no hours yet.
NOW = datetime(2026, 11, 2, tzinfo=UTC)
TODAY = NOW.date()

# NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3: ten of twenty units failed by 500 h.
NIST_FAILED = (54, 187, 216, 240, 244, 335, 361, 373, 375, 386)
NIST_UNTIL, NIST_RUNNING = 500, 10


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor(make_plant(), tag="Q30")


def answers(conveyor: Conveyor, now: datetime = NOW) -> PlantAnswers:
    return PlantAnswers(PlantLives(conveyor.plant, now))


def of(conveyor: Conveyor, subject: LifeSubject = LifeSubject.TROUGHING) -> LifeAnswer:
    return answers(conveyor).of(subject, conveyor.pk)


def fit(conveyor: Conveyor, days_ago: int, name: str = "C") -> Component:
    group = conveyor.components.get(name=name)
    group.fitted_on = TODAY - timedelta(days=days_ago)
    group.save()
    return group


def nist_rows() -> Conveyor:
    """Single rolls that seize today at the handbook's ages, in days, and ten that still run."""
    conveyor = make_conveyor(make_plant())
    kind = ComponentKind.RETURN_IDLERS
    for place, age in enumerate(NIST_FAILED):
        fitted = TODAY - timedelta(days=age)
        part = make_component(
            conveyor, f"N{place}", kind, Run.RETURN, str(110 + 3 * place), fitted_on=fitted
        )
        changing_rolls.change_rolls(
            conveyor_id=conveyor.pk,
            component_id=part.pk,
            changed=Changed("1", [RollPlace.CENTRE], TODAY, WhyChanged.SEIZED),
            by=None,
            today=TODAY,
        )
    fitted = TODAY - timedelta(days=NIST_UNTIL)
    more = {"spacing_m": "3", "count": NIST_RUNNING, "fitted_on": fitted}
    make_component(conveyor, "K", kind, Run.RETURN, "150", **more)
    return conveyor


def test_rows_of_the_register_reproduce_nist_handbook_8_4_1_3():
    found = of(nist_rows(), LifeSubject.RETURN)

    assert found.fit is not None
    assert (found.data.lives.count, found.data.lives.failure_count) == (20, 10)
    # The handbook's hours stand as days here; a Weibull life scales with its unit.
    assert found.fit.life.scale / 24 == pytest.approx(606.5280, abs=5e-4)
    assert found.fit.life.shape == pytest.approx(1.7208, abs=5e-5)
    assert found.fit.life.mean / 24 == pytest.approx(540.737, abs=5e-3)


def test_rolls_that_nobody_touched_count_once_each(conveyor: Conveyor):
    fit(conveyor, 100)
    change_rolls(conveyor, "7", on=TODAY - timedelta(days=40))

    data = of(conveyor).data

    # 180 first rolls, one of them seized after 60 days, and the new one.
    assert (data.lives.count, data.lives.failure_count) == (181, 1)
    assert data.lives.failure_ages == (60 * 24,)
    assert not data.is_running


def test_a_precaution_is_no_failure_and_a_change_taken_back_no_change(conveyor: Conveyor):
    fit(conveyor, 100)
    day = TODAY - timedelta(days=40)
    change_rolls(conveyor, "7", on=day, why=WhyChanged.PRECAUTION)
    change_rolls(conveyor, "8", on=day)
    conveyor.roll_changes.filter(set_number=8).update(undone_at=NOW)

    data = of(conveyor).data

    assert (data.lives.count, data.lives.failure_count) == (181, 0)


def test_what_came_nobody_knows_when_is_left_out_and_counted(conveyor: Conveyor):
    change_rolls(conveyor, "7", on=TODAY - timedelta(days=40))

    data = of(conveyor).data

    assert (data.lives.count, data.unknown) == (1, 180)


def test_lives_are_running_hours_where_the_meter_covers_them_all(conveyor: Conveyor):
    fit(conveyor, 100)
    change_rolls(conveyor, "7", on=TODAY - timedelta(days=40))
    first = (datetime.combine(TODAY, datetime.min.time(), UTC) - meter_rows.START).days
    # Twelve hours a day from before the rolls came.
    meter_rows.keep(conveyor, first - 110, "1000")
    meter_rows.keep(conveyor, first, "2320")

    data = of(conveyor).data

    assert data.is_running
    assert data.lives.failure_ages == (pytest.approx(60 * 12),)
    fit(conveyor, 120)
    assert not of(conveyor).data.is_running


def test_the_cheapest_age_meets_the_condition_of_barlow_and_proschan():
    conveyor = nist_rows()
    lives_rows.set_costs(conveyor.plant, LifeSubject.RETURN, NOW)

    found = of(conveyor, LifeSubject.RETURN)

    # Reference 4.19, by quadrature: h(T) int_0^T R - F(T) = c_p / (c_f - c_p).
    life, age = found.fit.life, found.replacement.age
    hazard = life.shape / life.scale * (age / life.scale) ** (life.shape - 1)
    area = quad(lambda t: np.exp(-((t / life.scale) ** life.shape)), 0, age)[0]
    assert hazard * area - (1 - life.survival(age)) == pytest.approx(100 / 900, rel=1e-6)
    assert found.replacement.cost_rate == pytest.approx(900 * hazard, rel=1e-6)


def test_a_stretch_goes_by_its_own_life_only_with_five_failures(conveyor: Conveyor):
    fit(conveyor, 900)
    for number in range(4):
        change_rolls(conveyor, str(number + 1), on=TODAY - timedelta(days=200 - 20 * number))
    (group,) = [
        one for one in answers(conveyor).groups_of(conveyor) if one.subject is LifeSubject.TROUGHING
    ]
    assert answers(conveyor).chosen(group).basis is Basis.PLANT

    change_rolls(conveyor, "9", on=TODAY - timedelta(days=60))

    assert answers(conveyor).chosen(group).basis is Basis.GROUP


def test_stretches_of_a_belt_are_compared_for_all_their_rolls():
    conveyor = nist_rows()
    costs = lives_rows.set_costs(conveyor.plant, LifeSubject.RETURN, NOW)
    known = answers(conveyor)

    found = compare_stretches(known, known.groups_of(conveyor), costs)

    # Elementary renewal theorem, by the handbook's mean life: 20 rolls at 1000 a failure.
    singly = found.comparison.options[0]
    assert (singly.scope, singly.trigger) == (Scope.ONE, Trigger.AT_FAILURE)
    assert singly.cost_rate * 24 == pytest.approx(20 * 1000 / 540.737, rel=1e-4)
    assert [one.group.parts for one in found.chosen] == [1] * 10 + [10]


def test_lagging_lives_end_with_its_renewals_and_belts_when_they_are_taken_off(conveyor: Conveyor):
    fit(conveyor, 500, "Head pulley")
    (reading,) = wear_down(conveyor, "Head pulley", [9.0], now=NOW)
    lives_rows.renew_lagging(conveyor, reading, NOW)
    Belt.objects.filter(conveyor=conveyor).update(
        fitted_on=date(2020, 1, 1), removed_on=date(2023, 1, 1)
    )

    lagging, belts = of(conveyor, LifeSubject.LAGGING).data, of(conveyor, LifeSubject.BELT).data

    assert lagging.lives.failure_ages == (499 * 24,)
    assert (belts.lives.count, belts.lives.failure_count) == (1, 1)


def test_the_records_of_a_plant_are_read_by_so_many_queries(
    conveyor: Conveyor, django_assert_num_queries
):
    for number in range(4):
        make_complete_conveyor(conveyor.plant, tag=f"X{number}")

    with django_assert_num_queries(9):
        assert len(PlantLives(conveyor.plant, NOW).groups) > 10


@pytest.mark.slow
def test_rows_with_many_rolls_agree_with_lifelines(conveyor: Conveyor):
    from lifelines import WeibullFitter

    fit(conveyor, 900)
    ages = (410, 520, 580, 640, 655, 700, 730, 790, 800, 845)
    for number, age in enumerate(ages):
        change_rolls(conveyor, str(number + 1), on=TODAY - timedelta(days=900 - age))

    found = of(conveyor).fit

    durations = [*ages, *(900 - age for age in ages), 900]
    seen, weights = [1] * 10 + [0] * 11, [1] * 20 + [170]
    theirs = WeibullFitter().fit(durations, seen, weights=weights)
    assert found.life.shape == pytest.approx(theirs.rho_, rel=1e-4)
    assert found.life.scale / 24 == pytest.approx(theirs.lambda_, rel=1e-4)
