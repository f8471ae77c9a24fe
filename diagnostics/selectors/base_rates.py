"""What the plant's confirmed causes say of a case before anything was seen."""

from django.contrib.postgres.aggregates import ArrayAgg
from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from diagnostics.case_states import CaseState
from diagnostics.inference.base_rates import INSTALLED_WEIGHTS, PriorWeights, learned_priors
from diagnostics.inference.case_counts import PlantCounts
from diagnostics.inference.priors import Priors
from diagnostics.models import BaseRateWeights, Case, Hypothesis, SetAside
from diagnostics.selectors import shelf

_NOT_CONFIRMED = [CaseState.NOT_MISTRACKING.value, CaseState.CANCELLED.value]
# A case of no mistracking had no cause at all; one still looked at may yet get one.
_ENDED = [CaseState.CANCELLED.value, CaseState.CLOSED.value]
_REFUTED = Q(hypotheses__refuted_at__isnull=False)


def priors_of(case: Case) -> Priors:
    """Learned from the plant's other cases whose cause a person accepted."""
    plant_id, conveyor_id = case.conveyor.plant_id, case.conveyor_id
    counts, weights = plant_counts(plant_id, but=case), weights_of(plant_id)
    knowledge = shelf.knowledge_of(plant_id)
    return learned_priors(counts.plant, counts.own(conveyor_id), knowledge, weights)


def weights_of(plant_id: int) -> PriorWeights:
    """What the knowledge before any case weighs at a plant."""
    row = weights_row(plant_id)
    return INSTALLED_WEIGHTS if row is None else row.weights


def weights_row(plant_id: int) -> BaseRateWeights | None:
    """The row in force; None where a plant goes by the installed figures."""
    return BaseRateWeights.objects.filter(plant=plant_id).first()


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
    """Those whose cause a person accepted and nobody set aside."""
    return named_in(cases).exclude(set_aside())


def named_in(cases: QuerySet[Case]) -> QuerySet[Case]:
    """Those whose cause a person accepted, set aside or not."""
    return cases.exclude(cause="").exclude(state__in=_NOT_CONFIRMED)


def is_named(case: Case) -> bool:
    """As `named_in`, of one case."""
    return bool(case.cause) and case.state not in _NOT_CONFIRMED


def set_aside() -> Exists:
    """Whether a case counts no longer."""
    return Exists(SetAside.objects.filter(case=OuterRef("pk"), taken_in_at__isnull=True))


def unnamed_in(cases: QuerySet[Case]) -> QuerySet[Case]:
    """Those that ended without a cause although somebody ruled one out; not set aside."""
    return ended_unnamed_in(cases).exclude(set_aside())


def ended_unnamed_in(cases: QuerySet[Case]) -> QuerySet[Case]:
    """The same, set aside or not."""
    refuted = Hypothesis.objects.filter(case=OuterRef("pk"), refuted_at__isnull=False)
    return cases.filter(Exists(refuted), cause="", state__in=_ENDED)
