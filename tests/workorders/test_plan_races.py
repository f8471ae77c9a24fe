"""Proposals over connections of their own: two who ask, two workers, two who take."""

import pytest
from django.utils import timezone

from tests.plant.test_register_races import at_once
from tests.workorders.plan_rows import ask, make_plannable, worked_out
from workorders.models import PlanRun
from workorders.services import plan_runs, plan_taking
from workorders.services.plan_taking import NoProposal

pytestmark = pytest.mark.django_db(transaction=True)


def test_of_two_who_ask_at_once_both_get_the_same():
    plant = make_plannable()[0].conveyor.plant

    first, second = at_once(lambda: ask(plant), lambda: ask(plant))

    assert first == second
    assert PlanRun.objects.count() == 1


def test_two_workers_do_not_work_at_the_same():
    run = ask(make_plannable()[0].conveyor.plant)

    assert sorted(at_once(plan_runs.do_owed, plan_runs.do_owed)) == [0, 1]

    run.refresh_from_db()
    assert (run.begun, run.state) == (1, PlanRun.State.PROPOSED)


def test_of_two_who_take_at_once_one_is_told_that_it_is_decided():
    first, _second = make_plannable()
    run = worked_out(first.conveyor.plant)

    def take() -> plan_taking.Outcome:
        return plan_taking.take(run_id=run.pk, by=None, now=timezone.now())

    outcomes = at_once(take, take)

    refused = [one for one in outcomes if isinstance(one, NoProposal)]
    assert len(refused) == 1
    assert first.moves.filter(to_state="scheduled").count() == 1
