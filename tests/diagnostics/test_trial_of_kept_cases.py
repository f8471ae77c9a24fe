"""A trial of what is in force says of a kept case what its own diagnosis said."""

import pytest

from diagnostics.inference.many_cases import ManyCases
from diagnostics.inference.trial import try_knowledge
from diagnostics.models import Case
from diagnostics.selectors import base_rates, confirmed, hit_rate, shelf
from diagnostics.selectors.trends import Period
from diagnostics.services import diagnosing, judging
from plant.roles import Role
from tests.diagnostics import factories
from tests.diagnostics.factories import NOW, later
from tests.diagnostics.test_learning_service import SPLICE
from tests.diagnostics.test_learning_service import confirmed as confirmed_before

pytestmark = pytest.mark.django_db


def test_trial_of_what_is_in_force_agrees_with_the_diagnosis_that_was_kept():
    belt = factories.make_conveyor()
    for _number in range(3):
        confirmed_before(belt, SPLICE)
    case = factories.make_case(belt)
    factories.walk_with_trouble_on_return(case)
    made = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))
    first = made.hypotheses.all()[0]
    lead = factories.make_person(Role.LEAD, belt.plant)
    judging.accept_hypothesis(hypothesis_id=first.pk, case_id=case.pk, by=lead, now=later(hours=2))
    knowledge, counts = shelf.knowledge_of(belt.plant_id), base_rates.plant_counts(belt.plant_id)

    (one,) = confirmed.confirmed_cases(Case.objects.all())
    many = ManyCases(knowledge, counts)
    shares = dict(zip(many.classes, many.posterior([one]).classes[0], strict=True))
    trial = try_knowledge([one], counts=counts, before=knowledge, after=knowledge)

    kept = {entry["class"]: entry["probability"] for entry in made.answer["classes"]}
    assert {name.value: share for name, share in shares.items() if share} == pytest.approx(kept)
    assert trial.before.classes.first.hits == trial.before.causes.first.hits == 1
    period = Period(NOW.date(), later(days=1).date())
    (judged,) = hit_rate.judged_cases(Case.objects.filter(pk=case.pk), period)
    assert judged.verdict.class_rank == judged.verdict.cause_rank == 1
    assert judged.verdict.brier == pytest.approx(trial.before.brier)
