"""What work does when diagnostics speaks; inside its transaction, so that a refusal undoes both."""

from datetime import datetime
from typing import Any

from django.dispatch import receiver

from diagnostics import signals
from diagnostics.models import Case, Diagnosis, Hypothesis
from plant.models import User
from workorders.services import raising, raising_by_rule, withdrawing


@receiver(signals.cause_accepted, dispatch_uid="raise the order of an accepted cause")
def raise_order(hypothesis: Hypothesis, by: User, now: datetime, **_later: Any) -> None:
    raising.raise_for_hypothesis(hypothesis_id=hypothesis.pk, by=by, now=now)


@receiver(signals.cause_taken_back, dispatch_uid="withdraw orders of a cause taken back")
def withdraw_of_cause(
    hypothesis: Hypothesis, by: User, now: datetime, why: str, **_later: Any
) -> None:
    withdrawing.withdraw_orders_of_cause(hypothesis=hypothesis, by=by, now=now, why=why)


@receiver(signals.case_ended, dispatch_uid="withdraw orders of a case that ended")
def withdraw_of_case(case: Case, by: User, now: datetime, why: str, **_later: Any) -> None:
    withdrawing.withdraw_orders_of_case(case=case, by=by, now=now, why=why)


@receiver(signals.cause_refuted, dispatch_uid="withdraw suggested work for a refuted cause")
def withdraw_suggested(
    hypothesis: Hypothesis, by: User, now: datetime, why: str, **_later: Any
) -> None:
    withdrawing.withdraw_suggested_work(hypothesis=hypothesis, by=by, now=now, why=why)


@receiver(signals.diagnosis_made, dispatch_uid="propose work a plant's setting asks for")
def hear_diagnosis(diagnosis: Diagnosis, now: datetime, **_later: Any) -> None:
    raising_by_rule.hear_diagnosis(diagnosis=diagnosis, now=now)
