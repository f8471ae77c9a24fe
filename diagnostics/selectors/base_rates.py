"""What the plant's confirmed causes say of a case before anything was seen."""

from django.contrib.postgres.aggregates import ArrayAgg
from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from diagnostics import knowledge_files
from diagnostics.case_states import CaseState
from diagnostics.inference.base_rates import learned_priors
from diagnostics.inference.case_counts import PlantCounts
from diagnostics.inference.priors import Priors
from diagnostics.models import Case, Hypothesis

_NOT_CONFIRMED = [CaseState.NOT_MISTRACKING.value, CaseState.CANCELLED.value]
# A case of no mistracking had no cause at all; one still looked at may yet get one.
_ENDED = [CaseState.CANCELLED.value, CaseState.CLOSED.value]


def priors_of(case: Case) -> Priors:
    """Learned from the plant's other cases whose cause a person accepted."""
    counts = plant_counts(case.conveyor.plant_id, but=case)
    return learned_priors(counts.plant, counts.own(case.conveyor_id), knowledge_files.current())


def plant_counts(plant_id: int, *, but: Case | None = None) -> PlantCounts:
    """How many cases of a plant, and of each of its conveyors, ended with what; two queries."""
    cases = Case.objects.filter(conveyor__plant=plant_id).order_by()
    if but is not None:
        cases = cases.exclude(pk=but.pk)
    named = confirmed_in(cases).values_list("conveyor_id", "cause").annotate(Count("pk"))
    unnamed = (
        unnamed_in(cases)
        .annotate(refuted=ArrayAgg("hypotheses__cause", filter=_REFUTED, distinct=True))
        .values_list("conveyor_id", "refuted")
    )
    return PlantCounts.of(named, ((key, frozenset(slugs), 1) for key, slugs in unnamed))


def confirmed_in(cases: QuerySet[Case]) -> QuerySet[Case]:
    """Those whose cause a person accepted."""
    return cases.exclude(cause="").exclude(state__in=_NOT_CONFIRMED)


_REFUTED = Q(hypotheses__refuted_at__isnull=False)


def unnamed_in(cases: QuerySet[Case]) -> QuerySet[Case]:
    """Those that ended without a cause although somebody ruled one out."""
    refuted = Hypothesis.objects.filter(case=OuterRef("pk"), refuted_at__isnull=False)
    return cases.filter(Exists(refuted), cause="", state__in=_ENDED)
