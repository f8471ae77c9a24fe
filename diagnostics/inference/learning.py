"""How base rates came about, class by class and cause by cause: start, cases, mean, interval."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from scipy.stats import beta

from diagnostics.inference.base_rates import PlantRates, PriorWeights, own_counts, plant_rates
from diagnostics.inference.case_counts import CaseCounts
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evaluation.rates import USUAL_LEVEL
from diagnostics.inference.vocabulary import CauseClass

Key = TypeVar("Key")

# A count of shares of unnamed cases below this is rounding, not learning.
_LEAST_SHARED = 5e-4


@dataclass(frozen=True)
class Learned:
    """One share, of a class among the classes or of a cause within its class.

    Attributes
    ----------
    before : float
        Share before the cases counted here.
    before_cases : float
        How many cases `before` weighs, over all that share with it.
    confirmed : int
        Cases in which it was accepted.
    shared : float
        What it gets of cases that ended without a cause, in cases.
    mean, lower, upper : float
        Posterior share with its equal-tailed credible interval.
    one_more : float
        What the mean would be after one more case in which it is accepted.
    """

    before: float
    before_cases: float
    confirmed: int
    shared: float
    mean: float
    lower: float
    upper: float
    one_more: float


@dataclass(frozen=True)
class Lesson:
    """One class: its share of the cases, and how its causes share it.

    Attributes
    ----------
    cause_class : CauseClass
    at_plant : Learned
        From the start and the plant's cases.
    here : Learned or None
        From the plant's share and one conveyor's cases; None where none was asked about.
    causes : mapping of str to Learned
        By slug; shares within the class.
    """

    cause_class: CauseClass
    at_plant: Learned
    here: Learned | None
    causes: Mapping[str, Learned]

    @property
    def in_force(self) -> Learned:
        return self.here or self.at_plant

    def overall(self, slug: str) -> float:
        """Mean share of one of its causes among all causes."""
        return self.in_force.mean * self.causes[slug].mean


def lessons_of(
    plant: CaseCounts,
    own: CaseCounts | None,
    knowledge: Knowledge,
    weights: PriorWeights,
    level: float = USUAL_LEVEL,
) -> tuple[Lesson, ...]:
    """All classes of the catalogue, in the order of the vocabulary.

    Parameters
    ----------
    plant, own : CaseCounts
        Of the plant, and of one conveyor of it or None.
    knowledge : Knowledge
    weights : PriorWeights
    level : float
        Of the credible intervals.
    """
    rates = plant_rates(plant, knowledge, weights)
    here = None if own is None else own_counts(rates, own, knowledge, weights)
    named, named_here = _named(plant, knowledge), _named(own or CaseCounts(), knowledge)
    return tuple(
        Lesson(
            name,
            learned(
                rates.start[name], weights.start_cases, rates.counted, name, named[name], level
            ),
            None
            if here is None
            else learned(
                rates.mean[name], weights.plant_cases, here, name, named_here[name], level
            ),
            _within(name, rates, plant, knowledge, weights, level),
        )
        for name in CauseClass
        if name in rates.start
    )


def learned(
    before: float,
    before_cases: float,
    counted: Mapping[Key, float],
    which: Key,
    confirmed: int,
    level: float = USUAL_LEVEL,
) -> Learned:
    """One share of a Dirichlet, with the interval of its beta marginal.

    Parameters
    ----------
    before : float
        Prior share m, between 0 and 1.
    before_cases : float
        Prior weight A in cases, > 0.
    counted : mapping to float
        Counts n of all that share, fractions allowed.
    which : key
        The one asked about.
    confirmed : int
        How many whole cases its count holds.
    level : float
        Between 0 and 1.

    Notes
    -----
    The marginal of Dirichlet(A m + n) is Beta(A m_k + n_k, A + N - A m_k - n_k). Shares of unnamed
    cases count like cases, which makes the interval a little narrower than it should be.

    References
    ----------
    Gelman et al., Bayesian Data Analysis, sections 2.4 and 3.4 (from memory).
    """
    count, of = counted[which], sum(counted.values())
    whole = before_cases + of
    mine = before_cases * before + count
    tail = (1 - level) / 2
    lower, upper = (0.0, 1.0)
    if 0 < mine < whole:
        lower, upper = (float(one) for one in beta.ppf((tail, 1 - tail), mine, whole - mine))
    shared = count - confirmed
    return Learned(
        before=before,
        before_cases=before_cases,
        confirmed=confirmed,
        shared=shared if shared > _LEAST_SHARED else 0.0,
        mean=mine / whole,
        lower=lower,
        upper=upper,
        one_more=(mine + 1) / (whole + 1),
    )


def _within(
    name: CauseClass,
    rates: PlantRates,
    plant: CaseCounts,
    knowledge: Knowledge,
    weights: PriorWeights,
    level: float,
) -> dict[str, Learned]:
    slugs = [slug for slug, one in knowledge.causes.items() if one.cause_class is name]
    counted = {slug: rates.counted_within[slug] for slug in slugs}
    return {
        slug: learned(
            rates.within_start[slug],
            weights.catalogue_cases,
            counted,
            slug,
            plant.confirmed.get(slug, 0),
            level,
        )
        for slug in slugs
    }


def _named(counts: CaseCounts, knowledge: Knowledge) -> dict[CauseClass, int]:
    found = dict.fromkeys(CauseClass, 0)
    for slug, cause in knowledge.causes.items():
        found[cause.cause_class] += counts.confirmed.get(slug, 0)
    return found
