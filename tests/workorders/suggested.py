"""Cases with a diagnosis of our choosing, and findings; the engine itself is not run."""

from datetime import datetime
from typing import Any

from django.db import transaction

from diagnostics import signals
from diagnostics.models import Case, Diagnosis, Finding, Hypothesis
from diagnostics.services import cases
from plant.models import Plant
from tests.workorders import factories
from tests.workorders.factories import CORRECTION, NOW
from workorders.auto_raising import SetPoint
from workorders.models import RaisingSetting
from workorders.services import setting_raising
from workorders.urgency import Urgency


def make_looked_at(**complaint: Any) -> Case:
    """Somebody has begun to look; a complaint says how bad it is."""
    case = factories.make_case()
    if complaint:
        factories.make_complaint(case, **complaint)
    cases.begin_looking(case, by=None, now=NOW)
    return case


def switch_on(
    plant: Plant, probability: float = 0.8, least: Urgency = Urgency.NEXT_OUTAGE, **how: Any
) -> RaisingSetting:
    newest = RaisingSetting.objects.filter(plant=plant).first()
    return setting_raising.set_raising(
        plant_id=plant.pk,
        point=SetPoint(how.pop("is_on", True), probability, least),
        seen=newest.pk if newest else 0,
        by=None,
        now=NOW,
    )


@transaction.atomic
def diagnose(
    case: Case,
    probability: float,
    cause: str = "return_idler_skewed",
    *,
    component: str = "R12",
    is_sufficient: bool = True,
    now: datetime = NOW,
) -> Hypothesis:
    """A new standing diagnosis with this cause first, told to whoever listens."""
    case.diagnoses.filter(superseded_at__isnull=True).update(superseded_at=now)
    made = Diagnosis.objects.create(
        case=case,
        made_at=now,
        engine_version="test",
        knowledge_version="test",
        pattern="fixed",
        is_sufficient=is_sufficient,
        answer={},
    )
    first = Hypothesis.objects.create(
        case=case,
        diagnosis=made,
        rank=1,
        cause=cause,
        cause_class="return_idler",
        zone="return run after the take-up",
        component=component,
        position_m=130.0,
        probability=probability,
        detail={"side": "left", "correction": CORRECTION},
    )
    signals.diagnosis_made.send(sender=Diagnosis, diagnosis=made, now=now)
    return first


def find(case: Case, cause: str = "return_idler_skewed", **fields: Any) -> Finding:
    defaults = {"is_present": True, "place": "R12", "found_at": NOW}
    return Finding.objects.create(case=case, cause=cause, **{**defaults, **fields})
