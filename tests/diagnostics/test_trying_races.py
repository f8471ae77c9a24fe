"""Trials over connections of their own: two workers, two people, and a worker that is killed."""

import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from django.db import connection
from django.utils import timezone

from diagnostics.models import KnowledgeTrial
from diagnostics.services import knowledge_trying
from plant.models import Conveyor
from plant.services import claiming
from tests.diagnostics import factories, tried_cases
from tests.diagnostics.tried_cases import SPLICE, TAIL, ask, close_call, make_cases
from tests.plant.test_register_races import at_once

pytestmark = pytest.mark.django_db(transaction=True)
ROOT = Path(__file__).parents[2]


@pytest.fixture
def belt(plant) -> Conveyor:
    belt = factories.make_bare_conveyor(plant, tag="Q7")
    make_cases([belt], [close_call(SPLICE), close_call(TAIL)])
    return belt


def test_of_two_people_who_ask_at_once_both_get_the_same_trial(belt):
    draft = tried_cases.begin_draft(belt.plant)

    first, second = at_once(lambda: ask(draft), lambda: ask(draft))

    assert first == second
    assert KnowledgeTrial.objects.count() == 1


def test_two_workers_do_not_take_up_the_same_trial(belt):
    one = ask(tried_cases.begin_draft(belt.plant))

    assert sorted(at_once(knowledge_trying.do_owed, knowledge_trying.do_owed)) == [0, 1]

    one.refresh_from_db()
    assert (one.times_begun, one.cases.count()) == (1, 2)


@pytest.mark.slow
def test_a_trial_whose_worker_was_killed_is_done_whole_by_the_next(belt):
    one = ask(tried_cases.begin_draft(belt.plant))
    worker = subprocess.Popen(
        [sys.executable, "-m", "tests.diagnostics.trial_alone", connection.settings_dict["NAME"]],
        cwd=ROOT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "plant.config.settings"},
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert worker.stdout is not None
        assert worker.stdout.readline() == "1\n"
    finally:
        worker.kill()
        worker.communicate()
    one.refresh_from_db()
    assert (one.is_owed, one.cases_done, one.times_begun) == (True, 1, 1)
    assert knowledge_trying.do_owed() == 0, "it may still be at it"

    ago = timezone.now() - claiming.SILENCE - timedelta(seconds=1)
    KnowledgeTrial.objects.filter(pk=one.pk).update(worked_at=ago)
    assert knowledge_trying.do_owed() == 1

    one.refresh_from_db()
    assert one.is_tried
    assert (one.cases_done, one.times_begun) == (2, 2)
    assert one.result["first"] == {"gained": 1, "lost": 1}
