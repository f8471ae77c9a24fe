"""Raising work from an accepted cause, and again."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import IntegrityError, connection, transaction

from diagnostics import knowledge_files, signals
from diagnostics.case_states import CaseState
from diagnostics.models import Hypothesis, WalkDown
from tests.workorders import factories
from tests.workorders.factories import NOW
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.services import raising
from workorders.urgency import Urgency

pytestmark = pytest.mark.django_db


def accept(hypothesis: Hypothesis) -> None:
    signals.cause_accepted.send(sender=Hypothesis, hypothesis=hypothesis, by=None, now=NOW)


def test_an_accepted_cause_raises_its_order_from_the_work_method() -> None:
    hypothesis = factories.make_accepted_cause()
    cause = knowledge_files.current().causes["return_idler_skewed"]
    method = knowledge_files.work_methods()[cause.work_method]

    accept(hypothesis)

    order = WorkOrder.objects.get()
    assert (order.hypothesis, order.case, order.conveyor) == (
        hypothesis,
        hypothesis.case,
        hypothesis.case.conveyor,
    )
    assert order.state == OrderState.PROPOSED
    assert order.title == f"{method.name}: R12"
    assert [(one.place, one.what, one.skill) for one in order.steps.all()] == [
        (place, step.what, step.skill) for place, step in enumerate(method.steps, start=1)
    ]
    assert (order.tools, order.parts) == (list(method.tools), list(method.parts))
    assert float(order.hours) == method.hours
    assert order.people == method.people
    assert order.correction == factories.CORRECTION
    assert (order.position_m, order.side, order.zone) == (
        130.0,
        "left",
        "return run after the take-up",
    )
    assert order.moves.get().to_state == OrderState.PROPOSED


def test_every_caution_of_method_and_cause_is_on_the_order_in_words() -> None:
    knowledge = knowledge_files.current()
    cause = knowledge.causes["return_idler_skewed"]
    method = knowledge_files.work_methods()[cause.work_method]

    order = factories.make_order()

    for slug in (*method.cautions, *cause.cautions):
        assert knowledge.cautions[slug] in order.cautions


def test_a_cause_the_catalogue_forgot_still_gets_an_order_with_cautions_and_isolation() -> None:
    hypothesis = factories.make_accepted_cause(cause="gremlins_in_the_gearbox")

    order = factories.make_order(hypothesis)

    assert order.title == "gremlins in the gearbox: R12"
    assert order.cautions
    assert order.needs_isolation
    assert not order.steps.exists()


@pytest.mark.parametrize("cause", sorted(knowledge_files.current().causes))
def test_every_cause_of_the_catalogue_raises_an_order_with_steps(cause: str) -> None:
    order = factories.make_order(factories.make_accepted_cause(cause=cause))

    assert order.steps.exists()
    assert order.cautions


def test_urgency_comes_from_complaint_and_walk_down() -> None:
    hypothesis = factories.make_accepted_cause()
    factories.make_complaint(hypothesis.case, how_bad="rubbing")
    walk = WalkDown.objects.create(case=hypothesis.case, started_at=NOW, cautions_read_at=NOW)
    seen = {"run": "return", "load": "loaded", "seen_at": NOW}
    walk.sightings.create(station="R11", position_m=127, offset_mm=-82, **seen)
    walk.sightings.create(station="R9", position_m=121, degree="slight", side="left", **seen)
    walk.sightings.create(station="R7", position_m=115, offset_mm=99, taken_back_at=NOW, **seen)

    order = factories.make_order(hypothesis)

    assert order.urgency == Urgency.THIS_SHIFT
    assert "18 mm of 100 mm edge clearance are left." in order.urgency_reasons


def test_a_withdrawn_complaint_makes_nothing_urgent() -> None:
    hypothesis = factories.make_accepted_cause()
    factories.make_complaint(
        hypothesis.case, how_bad="stopped", withdrawn_at=NOW, withdrawn_why="wrong belt"
    )

    assert factories.make_order(hypothesis).urgency == Urgency.NEXT_OUTAGE


def test_second_open_order_for_a_hypothesis_is_refused() -> None:
    order = factories.make_order()

    with pytest.raises(raising.HypothesisHasOpenOrder, match=order.number):
        factories.make_order(order.hypothesis)

    assert WorkOrder.objects.count() == 1


def test_the_database_itself_refuses_a_second_open_order() -> None:
    order = factories.make_order()
    order.pk, order.number = None, "ZZ-W-9999"

    with pytest.raises(IntegrityError, match="one_open_order_per_hypothesis"), transaction.atomic():
        order.save(force_insert=True)


def test_a_cause_nobody_accepted_raises_nothing() -> None:
    hypothesis = factories.make_accepted_cause()
    Hypothesis.objects.filter(pk=hypothesis.pk).update(accepted_at=None)

    with pytest.raises(raising.CauseNotAccepted):
        factories.make_order(hypothesis)


def test_an_ended_case_gets_no_more_work() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.PROVED)

    with pytest.raises(raising.CaseHasEnded):
        factories.make_order(order.hypothesis)


def test_work_is_raised_again_after_it_was_declined() -> None:
    declined = factories.bring_to(factories.make_order(), OrderState.DECLINED)

    order = raising.raise_again(hypothesis_id=declined.hypothesis_id, by=None, now=NOW)

    assert order.number != declined.number
    order.case.refresh_from_db()
    assert order.case.state == CaseState.CAUSE_FOUND


def test_numbers_count_up_within_a_plant_and_apart_between_plants() -> None:
    here, there = factories.make_plant(code="LT"), factories.make_plant(code="LTW")
    numbers = [
        factories.make_order_by_hand(factories.make_conveyor(plant)).number
        for plant in (here, there, here, here)
    ]

    assert numbers == ["LT-W-0001", "LTW-W-0001", "LT-W-0002", "LT-W-0003"]


def test_numbers_go_on_past_four_digits() -> None:
    conveyor = factories.make_conveyor(factories.make_plant(code="LT"))
    order = factories.make_order_by_hand(conveyor)
    WorkOrder.objects.filter(pk=order.pk).update(number="LT-W-9999")

    assert factories.make_order_by_hand(conveyor).number == "LT-W-10000"
    assert factories.make_order_by_hand(conveyor).number == "LT-W-10001"


@pytest.mark.django_db(transaction=True)
def test_of_two_raising_at_once_one_is_refused() -> None:
    hypothesis = factories.make_accepted_cause()

    def attempt(_turn: int) -> str:
        try:
            return raising.raise_for_hypothesis(
                hypothesis_id=hypothesis.pk, by=None, now=NOW
            ).number
        except raising.HypothesisHasOpenOrder as refusal:
            return refusal.code
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(attempt, range(4)))

    assert answers.count("hypothesis_has_open_order") == 3
    assert WorkOrder.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_orders_raised_at_once_get_numbers_of_their_own() -> None:
    conveyor = factories.make_conveyor()

    def attempt(_turn: int) -> str:
        try:
            return factories.make_order_by_hand(conveyor).number
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        numbers = list(pool.map(attempt, range(8)))

    assert sorted(numbers) == [f"{conveyor.plant.code}-W-{one:04d}" for one in range(1, 9)]
