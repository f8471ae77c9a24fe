"""What the lead changes about base rates: kept with a reason, undone, owed to the open cases."""

import math
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from diagnostics.case_states import CaseState
from diagnostics.inference.base_rates import INSTALLED_WEIGHTS, PriorWeights
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.models import BaseRateWeights, Case, SetAside
from diagnostics.selectors import base_rates
from diagnostics.services import judging, learning
from plant.models import User
from plant.roles import Role
from tests.diagnostics import factories
from tests.diagnostics.factories import NOW, later

SPLICE, TAKE_UP = "crooked_splice", "take_up_carriage_skewed"
pytestmark = pytest.mark.django_db


@pytest.fixture
def belt():
    return factories.make_conveyor()


@pytest.fixture
def lead(belt) -> User:
    return factories.make_person(Role.LEAD, belt.plant)


def confirmed(belt, cause: str = SPLICE, **fields) -> Case:
    case = factories.make_case(belt)
    Case.objects.filter(pk=case.pk).update(cause=cause, state=CaseState.CLOSED.value, **fields)
    return case


def without_cause(belt, lead, *refuted: str, state: CaseState = CaseState.CANCELLED) -> Case:
    case = factories.make_case(belt)
    for cause in refuted:
        row = factories.make_hypothesis(case, cause=cause)
        judging.refute_hypothesis(
            hypothesis_id=row.pk, case_id=case.pk, by=lead, now=NOW, why="looked"
        )
    Case.objects.filter(pk=case.pk).update(state=state.value)
    return case


def looked_at(belt) -> Case:
    case = factories.make_case(belt)
    factories.walk_with_trouble_on_return(case)
    Case.objects.filter(pk=case.pk).update(diagnosis_owed_at=None)
    return case


def is_owed(case: Case) -> bool:
    return Case.objects.owing_diagnosis().filter(pk=case.pk).exists()


def weight_of(case: Case, name: CauseClass) -> float:
    return base_rates.priors_of(case).classes.get(name, 1.0)


def weigh(belt, lead, weights: PriorWeights, based_on: int | None = None, why: str = "few cases"):
    return learning.weigh_start(
        plant_id=belt.plant_id, weights=weights, based_on=based_on, by=lead, now=NOW, why=why
    )


def test_cases_are_counted_by_plant_and_belt_and_a_case_never_for_itself(belt):
    other = factories.make_conveyor(belt.plant)
    elsewhere = factories.make_conveyor()
    mine = confirmed(belt)
    for conveyor in (belt, other, elsewhere):
        confirmed(conveyor)

    counts = base_rates.plant_counts(belt.plant_id)

    assert counts.plant.confirmed == {SPLICE: 3}
    assert counts.own(belt.pk).confirmed == {SPLICE: 2}
    assert base_rates.plant_counts(belt.plant_id, but=mine).own(belt.pk).confirmed == {SPLICE: 1}


def test_a_case_that_ended_with_refuted_causes_only_counts_for_the_others(belt, lead):
    without_cause(belt, lead, SPLICE, TAKE_UP)
    without_cause(belt, lead, SPLICE, state=CaseState.NOT_MISTRACKING)
    without_cause(belt, lead, SPLICE, state=CaseState.LOOKED_AT)
    case = factories.make_case(belt)

    counts = base_rates.plant_counts(belt.plant_id)

    # No mistracking had no cause; what is looked at may yet get one.
    assert counts.plant.unnamed == {frozenset({SPLICE, TAKE_UP}): 1}
    assert weight_of(case, CauseClass.TAKE_UP) < 1 < weight_of(case, CauseClass.LOADING)


def test_what_the_start_weighs_is_the_plants_own_figure(belt, lead):
    confirmed(belt)
    case, elsewhere = factories.make_case(belt), factories.make_case()
    confirmed(elsewhere.conveyor)
    before = weight_of(case, CauseClass.BELT_SPLICE)

    weigh(belt, lead, PriorWeights(2, 15, 10))

    assert weight_of(case, CauseClass.BELT_SPLICE) > before
    assert weight_of(elsewhere, CauseClass.BELT_SPLICE) == pytest.approx(before)


def test_weights_keep_who_when_and_why_and_can_be_set_back(belt, lead):
    first = weigh(belt, lead, PriorWeights(2, 15, 10))
    weigh(belt, lead, INSTALLED_WEIGHTS, based_on=first.pk, why="it jumped about")

    assert base_rates.weights_of(belt.plant_id) == INSTALLED_WEIGHTS
    rows = BaseRateWeights.objects.filter(plant=belt.plant)
    assert [(row.why, row.set_by) for row in rows] == [
        ("it jumped about", lead),
        ("few cases", lead),
    ]


def test_of_two_leads_the_later_one_is_told_of_the_others_figures(belt, lead):
    weigh(belt, lead, PriorWeights(2, 15, 10))

    with pytest.raises(learning.WeightsMoved):
        weigh(belt, lead, PriorWeights(50, 15, 10))
    assert base_rates.weights_of(belt.plant_id).start_cases == 2


@pytest.mark.parametrize(
    ("weights", "why", "refusal"),
    [
        (PriorWeights(2, 15, 10), " ", learning.ReasonMissing),
        (INSTALLED_WEIGHTS, "no change", learning.WeightsAsBefore),
    ],
)
def test_weights_without_reason_or_change_are_refused(belt, lead, weights, why, refusal):
    with pytest.raises(refusal):
        weigh(belt, lead, weights, why=why)
    assert not BaseRateWeights.objects.exists()


def test_a_weight_of_nothing_is_refused_by_the_database_too(belt):
    with pytest.raises(IntegrityError), transaction.atomic():
        BaseRateWeights.objects.create(plant=belt.plant, start_cases=0, set_at=NOW, why="")


def test_a_case_set_aside_teaches_nothing_until_it_is_taken_in_again(belt, lead):
    wrong, case = confirmed(belt), factories.make_case(belt)
    taught = weight_of(case, CauseClass.BELT_SPLICE)

    learning.set_case_aside(case_id=wrong.pk, by=lead, now=NOW, why="was the idler after all")
    aside = weight_of(case, CauseClass.BELT_SPLICE)
    learning.take_case_in(case_id=wrong.pk, by=lead, now=later(days=1), why="no, it was the splice")

    assert aside == 1
    assert weight_of(case, CauseClass.BELT_SPLICE) == taught > 1
    (row,) = SetAside.objects.all()
    assert (row.why, row.taken_in_why) == ("was the idler after all", "no, it was the splice")
    assert (row.set_by, row.taken_in_by) == (lead, lead)
    assert row.taken_in_at - row.set_at == timedelta(days=1)


def test_a_case_without_a_cause_can_be_set_aside_too(belt, lead):
    wrong = without_cause(belt, lead, SPLICE)

    learning.set_case_aside(case_id=wrong.pk, by=lead, now=NOW, why="nobody looked")

    assert base_rates.plant_counts(belt.plant_id).plant.unnamed == {}


def test_setting_aside_twice_taking_in_what_counts_and_a_case_of_no_cause_are_refused(belt, lead):
    case, bare = confirmed(belt), factories.make_case(belt)
    how = {"by": lead, "now": NOW, "why": "wrong"}

    with pytest.raises(learning.NotSetAside):
        learning.take_case_in(case_id=case.pk, **how)
    with pytest.raises(learning.NothingToSetAside):
        learning.set_case_aside(case_id=bare.pk, **how)
    with pytest.raises(learning.ReasonMissing):
        learning.set_case_aside(case_id=case.pk, **{**how, "why": ""})
    learning.set_case_aside(case_id=case.pk, **how)
    with pytest.raises(learning.AlreadySetAside):
        learning.set_case_aside(case_id=case.pk, **how)
    assert SetAside.objects.count() == 1


def test_open_cases_of_the_plant_owe_a_diagnosis_when_base_rates_are_changed_by_hand(belt, lead):
    wrong, mine = confirmed(belt), looked_at(factories.make_conveyor(belt.plant))
    elsewhere, unseen = looked_at(factories.make_conveyor()), factories.make_case(belt)

    learning.set_case_aside(case_id=wrong.pk, by=lead, now=NOW, why="wrong")

    assert is_owed(mine)
    assert not is_owed(elsewhere)
    assert not is_owed(unseen)
    Case.objects.update(diagnosis_owed_at=None)
    weigh(belt, lead, PriorWeights(2, 15, 10))
    assert is_owed(mine)


def test_base_rates_cost_the_same_queries_for_few_and_many_cases(
    belt, lead, django_assert_num_queries
):
    case = factories.make_case(belt)
    for _number in range(4):
        confirmed(belt)
        without_cause(belt, lead, SPLICE)

    asked = Case.objects.select_related("conveyor").get(pk=case.pk)
    # The edition in force, the weights, causes and refuted causes.
    with django_assert_num_queries(4):
        priors = base_rates.priors_of(asked)

    assert all(math.isfinite(one) for one in priors.classes.values())
