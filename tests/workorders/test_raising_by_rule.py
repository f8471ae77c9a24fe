"""The site proposes work by itself above a plant's set probability, and only then."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import IntegrityError, connection, transaction

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from diagnostics.services import cases, judging
from plant.roles import Role
from tests.workorders import factories, suggested
from tests.workorders.factories import NOW
from workorders.models import OrderChange, RaisingSetting, WorkOrder
from workorders.order_states import OrderState
from workorders.services import moving, proving, raising, setting_raising
from workorders.services.cause_said import CauseNotSaid
from workorders.services.raising import HypothesisHasOpenOrder
from workorders.urgency import Urgency

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=3)


@pytest.fixture
def case() -> Case:
    made = suggested.make_looked_at(how_bad="rubbing")
    suggested.switch_on(made.conveyor.plant)
    return made


def accept(hypothesis, case: Case) -> None:
    lead = factories.make_person(Role.LEAD, case.conveyor.plant)
    judging.accept_hypothesis(hypothesis_id=hypothesis.pk, case_id=case.pk, by=lead, now=LATER)


def test_a_sure_diagnosis_proposes_work_that_nobody_asked_for(case: Case) -> None:
    first = suggested.diagnose(case, 0.93)

    order = WorkOrder.objects.get()
    assert (order.hypothesis, order.case, order.raised_by) == (first, case, None)
    assert (order.state, order.origin, order.urgency) == ("proposed", "rule", "this_shift")
    assert order.correction == factories.CORRECTION
    assert order.steps.exists()
    move = order.moves.get()
    assert move.by is None
    for figure in ("93 %", "80 %", "this shift", "next outage"):
        assert figure in move.why


def test_it_leaves_the_case_to_people(case: Case) -> None:
    suggested.diagnose(case, 0.93)

    case.refresh_from_db()
    assert (case.state, case.cause) == (CaseState.LOOKED_AT, "")


@pytest.mark.parametrize(("probability", "count"), [(0.79, 0), (0.8, 1), (1.0, 1)])
def test_the_set_probability_is_the_least_that_does(
    case: Case, probability: float, count: int
) -> None:
    suggested.diagnose(case, probability)

    assert WorkOrder.objects.count() == count


@pytest.mark.parametrize(
    ("how_bad", "least", "count"),
    [
        ("rubbing", Urgency.THIS_SHIFT, 1),
        ("off_centre", Urgency.THIS_SHIFT, 0),
        ("rubbing", Urgency.STOP_NOW, 0),
        ("stopped", Urgency.STOP_NOW, 1),
        ("off_centre", Urgency.WATCH, 1),
    ],
)
def test_the_trouble_has_to_be_as_bad_as_set(how_bad: str, least: Urgency, count: int) -> None:
    case = suggested.make_looked_at(how_bad=how_bad)
    suggested.switch_on(case.conveyor.plant, least=least)

    suggested.diagnose(case, 0.95)

    assert WorkOrder.objects.count() == count


def test_nothing_is_raised_unless_the_plant_switched_it_on() -> None:
    never_set = suggested.make_looked_at(how_bad="rubbing")
    switched_off = suggested.make_looked_at(how_bad="rubbing")
    suggested.switch_on(switched_off.conveyor.plant)
    suggested.switch_on(switched_off.conveyor.plant, is_on=False)

    for case in (never_set, switched_off):
        suggested.diagnose(case, 0.99)

    assert not WorkOrder.objects.exists()


def test_thin_evidence_raises_nothing_however_sure_it_sounds(case: Case) -> None:
    suggested.diagnose(case, 0.99, is_sufficient=False)

    assert not WorkOrder.objects.exists()


def test_a_second_sure_diagnosis_raises_no_second_order(case: Case) -> None:
    suggested.diagnose(case, 0.93)
    suggested.diagnose(case, 0.95, cause="tail_pulley_skewed", component="TP", now=LATER)

    assert WorkOrder.objects.count() == 1


@pytest.mark.parametrize("end", [OrderState.DECLINED, OrderState.CANCELLED])
def test_what_was_turned_down_for_a_case_is_not_raised_again(case: Case, end: OrderState) -> None:
    suggested.diagnose(case, 0.93)
    factories.bring_to(WorkOrder.objects.get(), end)

    suggested.diagnose(case, 0.97, now=LATER)

    assert WorkOrder.objects.count() == 1


def test_what_a_person_refuted_is_not_raised(case: Case) -> None:
    first = suggested.diagnose(case, 0.6)
    lead = factories.make_person(Role.LEAD, case.conveyor.plant)
    judging.refute_hypothesis(
        hypothesis_id=first.pk, case_id=case.pk, by=lead, now=NOW, why="rolls are square"
    )

    suggested.diagnose(case, 0.97, now=LATER)

    assert not WorkOrder.objects.exists()


def test_refuting_the_cause_withdraws_what_the_site_proposed(case: Case) -> None:
    first = suggested.diagnose(case, 0.93)
    lead = factories.make_person(Role.LEAD, case.conveyor.plant)
    judging.refute_hypothesis(
        hypothesis_id=first.pk, case_id=case.pk, by=lead, now=LATER, why="rolls are square"
    )

    order = WorkOrder.objects.get()
    assert order.state == OrderState.CANCELLED
    assert "rolls are square" in order.moves.last().why


def test_a_case_whose_cause_a_person_found_gets_nothing(case: Case) -> None:
    accept(suggested.diagnose(case, 0.6), case)
    WorkOrder.objects.get()

    suggested.diagnose(case, 0.97, cause="tail_pulley_skewed", component="TP", now=LATER)

    assert WorkOrder.objects.count() == 1


def test_accepting_the_cause_later_adopts_the_order(case: Case) -> None:
    suggested.diagnose(case, 0.93)
    second = suggested.diagnose(case, 0.95, now=LATER)

    accept(second, case)

    order = WorkOrder.objects.get()
    assert order.hypothesis == second
    assert order.changes.get().kind == OrderChange.Kind.ADOPTED
    case.refresh_from_db()
    assert case.state == CaseState.CAUSE_FOUND


def test_an_adopted_order_is_the_one_of_its_cause_from_then_on(case: Case) -> None:
    first = suggested.diagnose(case, 0.93)
    accept(first, case)

    with pytest.raises(HypothesisHasOpenOrder):
        raising.raise_again(hypothesis_id=first.pk, by=None, now=LATER)
    assert WorkOrder.objects.get().changes.count() == 1


def test_accepting_it_at_a_neighbouring_set_moves_the_proposed_order_there(case: Case) -> None:
    suggested.diagnose(case, 0.93)
    second = suggested.diagnose(case, 0.95, component="R11", now=LATER)

    accept(second, case)

    assert WorkOrder.objects.get().component == "R11"


def test_accepting_another_cause_raises_its_own_order(case: Case) -> None:
    suggested.diagnose(case, 0.93)
    other = suggested.diagnose(case, 0.6, cause="tail_pulley_skewed", component="TP", now=LATER)

    accept(other, case)

    assert WorkOrder.objects.count() == 2


def test_work_done_on_a_suspicion_is_that_of_the_cause_accepted_after_it(case: Case) -> None:
    first = suggested.diagnose(case, 0.93)
    order = factories.bring_to(WorkOrder.objects.get(), OrderState.DONE)

    accept(first, case)

    order.refresh_from_db()
    assert WorkOrder.objects.get() == order
    assert order.hypothesis == first


def test_a_proof_passes_only_once_somebody_said_what_the_cause_was(case: Case) -> None:
    first = suggested.diagnose(case, 0.93)
    order = factories.bring_to(WorkOrder.objects.get(), OrderState.DONE)
    proof = {"order_id": order.pk, "passed": True, "by": None, "now": LATER}
    turns = {"revolutions_empty": 3, "revolutions_loaded": 3}
    with pytest.raises(CauseNotSaid, match="Accept or name it"):
        proving.record_proof_run(**proof, **turns)

    accept(first, case)
    proving.record_proof_run(**proof, **turns)

    case.refresh_from_db()
    assert case.state == CaseState.CLOSED
    assert case.cause == "return_idler_skewed"


def test_a_diagnosis_that_is_less_sure_says_so_on_the_order_and_deletes_nothing(
    case: Case,
) -> None:
    suggested.diagnose(case, 0.93)
    suggested.diagnose(case, 0.41, now=LATER)
    suggested.diagnose(case, 0.40, now=LATER)

    order = WorkOrder.objects.get()
    assert order.state == OrderState.PROPOSED
    change = order.changes.get()
    assert (change.kind, change.after) == (OrderChange.Kind.LESS_SURE, "0.410")

    suggested.diagnose(case, 0.9, now=LATER + timedelta(hours=1))
    kinds = list(order.changes.values_list("kind", flat=True))
    assert kinds == [OrderChange.Kind.LESS_SURE, OrderChange.Kind.SURE_AGAIN]


def test_a_diagnosis_that_names_it_no_more_is_less_sure(case: Case) -> None:
    suggested.diagnose(case, 0.93)
    suggested.diagnose(case, 0.95, cause="tail_pulley_skewed", component="TP", now=LATER)

    assert WorkOrder.objects.get().changes.get().after == "0.000"


def test_a_turned_down_order_can_come_back_unless_other_work_stands(case: Case) -> None:
    suggested.diagnose(case, 0.93)
    order = factories.bring_to(WorkOrder.objects.get(), OrderState.DECLINED)
    back = {"order_id": order.pk, "to_state": OrderState.PROPOSED, "by": None, "why": "after all"}
    moving.move_order(**back, now=LATER)
    moving.move_order(order_id=order.pk, to_state=OrderState.DECLINED, by=None, now=LATER, why="no")
    other = suggested.diagnose(case, 0.6, cause="tail_pulley_skewed", component="TP", now=LATER)
    accept(other, case)

    with pytest.raises(HypothesisHasOpenOrder):
        moving.move_order(**back, now=LATER)


def test_the_database_holds_one_open_order_by_rule_a_case(case: Case) -> None:
    suggested.diagnose(case, 0.93)
    order = WorkOrder.objects.get()
    order.pk, order.number, order.hypothesis = None, "X-W-1", None

    with pytest.raises(IntegrityError, match="one_open_order_by_rule"), transaction.atomic():
        order.save(force_insert=True)


@pytest.mark.django_db(transaction=True)
def test_a_diagnosis_and_a_person_accepting_at_once_make_one_order() -> None:
    case = suggested.make_looked_at(how_bad="rubbing")
    earlier = suggested.diagnose(case, 0.6)
    suggested.switch_on(case.conveyor.plant)
    both_ready = Barrier(2)

    def diagnose_anew() -> None:
        with transaction.atomic():
            both_ready.wait()
            # As the engine does: the case is held while its diagnosis is written.
            suggested.diagnose(cases.lock_case(case.pk), 0.95, now=LATER)

    def accept_earlier() -> None:
        both_ready.wait()
        accept(earlier, case)

    with ThreadPoolExecutor(2) as threads:
        for done in [threads.submit(_alone, diagnose_anew), threads.submit(_alone, accept_earlier)]:
            done.result()

    assert WorkOrder.objects.get().hypothesis == earlier


def _alone(act: Callable[[], None]) -> None:
    try:
        act()
    finally:
        connection.close()


def test_two_people_setting_it_at_once_do_not_overwrite_each_other() -> None:
    plant = factories.make_plant()
    seen = suggested.switch_on(plant).pk
    suggested.switch_on(plant, 0.9)

    with pytest.raises(setting_raising.SettingChangedMeanwhile):
        setting_raising.set_raising(
            plant_id=plant.pk,
            point=setting_raising.SetPoint(True, 0.6, Urgency.WATCH),
            seen=seen,
            by=None,
            now=NOW,
        )
    assert RaisingSetting.objects.filter(plant=plant).first().probability == 0.9


@pytest.mark.parametrize("probability", [0.49, 1.0, float("nan")])
def test_a_probability_below_even_odds_or_of_certainty_cannot_be_set(probability: float) -> None:
    with pytest.raises(setting_raising.ProbabilityOutOfRange):
        suggested.switch_on(factories.make_plant(), probability)
