"""What the plant's confirmed causes say of a case before anything was seen."""

from diagnostics import knowledge_files
from diagnostics.case_states import CaseState
from diagnostics.inference.base_rates import ConfirmedCause, learned_priors
from diagnostics.inference.priors import Priors
from diagnostics.models import Case

_NOT_CONFIRMED = [CaseState.NOT_MISTRACKING.value, CaseState.CANCELLED.value]


def priors_of(case: Case) -> Priors:
    """Learned from the plant's other cases whose cause a person accepted."""
    found = (
        Case.objects.filter(conveyor__plant=case.conveyor.plant_id)
        .exclude(pk=case.pk)
        .exclude(cause="")
        .exclude(state__in=_NOT_CONFIRMED)
        .order_by("pk")
        .values_list("cause", "conveyor_id")
    )
    return learned_priors(
        (
            ConfirmedCause(cause, on_this_conveyor=conveyor_id == case.conveyor_id)
            for cause, conveyor_id in found
        ),
        knowledge_files.current(),
    )
