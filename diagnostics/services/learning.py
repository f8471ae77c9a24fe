"""The lead's hand in the base rates: what the start weighs, and which cases do not count.

Each change is a row with who, when and why, and owes the plant's open cases a new diagnosis. Rules
are never touched.
"""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.inference.base_rates import PriorWeights
from diagnostics.models import BaseRateWeights, Case, SetAside
from diagnostics.selectors import base_rates
from diagnostics.services import cases, diagnosing
from plant.errors import DomainError
from plant.models import Plant, User


class ReasonMissing(DomainError):
    code = "reason_missing"


class WeightsMoved(DomainError):
    """Somebody set others since they were read."""

    code = "weights_moved"


class WeightsAsBefore(DomainError):
    code = "weights_as_before"


class NothingToSetAside(DomainError):
    code = "nothing_to_set_aside"


class AlreadySetAside(DomainError):
    code = "already_set_aside"


class NotSetAside(DomainError):
    code = "not_set_aside"


@transaction.atomic
def weigh_start(
    *,
    plant_id: int,
    weights: PriorWeights,
    based_on: int | None,
    by: User,
    now: datetime,
    why: str,
) -> BaseRateWeights:
    """Set how much what was known before any case weighs at a plant.

    `based_on` is the row they were read from, None for the installed figures. Refuses with
    WeightsMoved when another one is in force by now, WeightsAsBefore when nothing would change.
    """
    reason = _reason(why)
    # Of two leads setting them together one must see what the other set.
    Plant.objects.select_for_update(no_key=True).get(pk=plant_id)
    row = base_rates.weights_row(plant_id)
    if (row.pk if row else None) != based_on:
        raise WeightsMoved(
            _("Somebody has set other figures meanwhile. They are shown now; set yours again.")
        )
    if base_rates.weights_of(plant_id) == weights:
        raise WeightsAsBefore(_("These figures are in force already."))
    made = BaseRateWeights.objects.create(
        plant_id=plant_id,
        start_cases=weights.start_cases,
        plant_cases=weights.plant_cases,
        catalogue_cases=weights.catalogue_cases,
        set_at=now,
        set_by=by,
        why=reason,
    )
    diagnosing.owe_diagnoses_at(plant_id, now=now)
    return made


@transaction.atomic
def set_case_aside(*, case_id: int, by: User, now: datetime, why: str) -> SetAside:
    """Let a case whose cause was wrong count no longer, here and for the hit rate.

    Refuses with NothingToSetAside for a case that teaches nothing, and with AlreadySetAside.
    """
    reason = _reason(why)
    case = cases.lock_case(case_id)
    one = Case.objects.filter(pk=case.pk)
    if case.set_asides.filter(taken_in_at__isnull=True).exists():
        raise AlreadySetAside(_("%(number)s is set aside already.") % {"number": case.number})
    if not (base_rates.named_in(one).exists() or base_rates.ended_unnamed_in(one).exists()):
        raise NothingToSetAside(
            _("%(number)s does not count: it has no accepted cause and did not end without one.")
            % {"number": case.number}
        )
    made = SetAside.objects.create(case=case, set_at=now, set_by=by, why=reason)
    diagnosing.owe_diagnoses_at(case.conveyor.plant_id, now=now)
    return made


@transaction.atomic
def take_case_in(*, case_id: int, by: User, now: datetime, why: str) -> SetAside:
    """Let a case that was set aside count again; refuses with NotSetAside."""
    reason = _reason(why)
    case = cases.lock_case(case_id)
    row = case.set_asides.filter(taken_in_at__isnull=True).first()
    if row is None:
        raise NotSetAside(_("%(number)s counts already.") % {"number": case.number})
    row.taken_in_at, row.taken_in_by, row.taken_in_why = now, by, reason
    row.save()
    diagnosing.owe_diagnoses_at(case.conveyor.plant_id, now=now)
    return row


def _reason(why: str) -> str:
    if not why.strip():
        raise ReasonMissing(_("Say why, for whoever looks at the base rates next."))
    return why.strip()[:400]
