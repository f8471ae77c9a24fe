"""Base rates learned from confirmed causes: of the plant, and of the conveyor within the plant.

Dirichlet, in two steps: the plant's cases pull the equal start, the conveyor's own cases pull the
plant's rates. With few cases little moves; nothing is ever ruled out, and no rule is touched.
A case that ended without a cause, but with causes refuted, is a censored observation: one of the
others it was.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.inference.case_counts import CaseCounts
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.priors import SURROUNDINGS_PRIOR, Priors
from diagnostics.inference.vocabulary import CauseClass

# The start weighs as much as so many confirmed cases of the plant; the plant's rates as much as
# so many cases of one conveyor; the catalogue's weights within a class as much as so many of that
# class. Engineering judgement.
START_CASES = 30.0
PLANT_CASES = 15.0
CATALOGUE_CASES = 10.0


@dataclass(frozen=True)
class PriorWeights:
    """What the knowledge before any case weighs, in cases, each > 0.

    Attributes
    ----------
    start_cases : float
        The equal start of the classes, against the cases of the plant.
    plant_cases : float
        The plant's rates of the classes, against the cases of one conveyor.
    catalogue_cases : float
        The catalogue's weights within a class, against the cases of that class.
    """

    start_cases: float = START_CASES
    plant_cases: float = PLANT_CASES
    catalogue_cases: float = CATALOGUE_CASES

    def __post_init__(self) -> None:
        for name in ("start_cases", "plant_cases", "catalogue_cases"):
            if not 0 < getattr(self, name) < float("inf"):
                raise ValueError(f"{name} must be above 0 and finite, not {getattr(self, name)}")


INSTALLED_WEIGHTS = PriorWeights()


@dataclass(frozen=True)
class PlantRates:
    """What the plant's cases make of the start, before one conveyor is looked at.

    Attributes
    ----------
    start, mean : dict of CauseClass to float
        Shares of the classes before and after; each sums to 1.
    counted : dict of CauseClass to float
        Cases counted for each class, shares of unnamed ones among them.
    within_start, within : dict of str to float
        Share of each cause within its class before and after; each sums to 1 over a class.
    counted_within : dict of str to float
        As `counted`, by cause.
    """

    start: dict[CauseClass, float]
    mean: dict[CauseClass, float]
    counted: dict[CauseClass, float]
    within_start: dict[str, float]
    within: dict[str, float]
    counted_within: dict[str, float]


def learned_priors(
    plant: CaseCounts,
    own: CaseCounts,
    knowledge: Knowledge,
    weights: PriorWeights = INSTALLED_WEIGHTS,
) -> Priors:
    """Weights of classes and causes after the confirmed cases.

    Parameters
    ----------
    plant : CaseCounts
        All cases of the plant, those of the conveyor among them. Causes the catalogue no longer
        knows are passed over.
    own : CaseCounts
        Of these the conveyor's own.
    knowledge : Knowledge
    weights : PriorWeights

    Returns
    -------
    Priors
        Relative to the start: 1 for a class or cause of which nothing was learned, before the
        others' gains.

    Notes
    -----
    Posterior mean of a Dirichlet with prior weights ``A m`` and counts ``n``:
    ``(A m + n) / (A + N)``, for the plant with m the start, then for the conveyor with m the
    plant's mean. Within a class the same over its causes, plant and conveyor counted alike.

    A case that ended without a cause counts as one case too. It is shared among the causes that
    were not refuted, in proportion to their means after the confirmed cases (the first step of
    expectation maximisation, Dempster, Laird & Rubin 1977): a count that rules out nothing moves
    nothing, and one that rules out one tail pulley cause does not acquit the tail pulley.

    References
    ----------
    Gelman et al., Bayesian Data Analysis, section on the multinomial model (from memory).
    """
    return priors_within(plant_rates(plant, knowledge, weights), own, knowledge, weights)


def plant_rates(
    plant: CaseCounts, knowledge: Knowledge, weights: PriorWeights = INSTALLED_WEIGHTS
) -> PlantRates:
    """The first step of `learned_priors`; the same for every conveyor of the plant."""
    start, within_start = start_shares(knowledge), _catalogue_shares(knowledge)
    confirmed = _known(plant, knowledge)
    by_class = _by_class(confirmed, knowledge)
    mean = _mean(start, by_class, weights.start_cases)
    within = _within(within_start, confirmed, by_class, knowledge, weights)
    shared = _shared(plant.unnamed, mean, within, knowledge)
    if shared:
        confirmed = {slug: n + shared.get(slug, 0.0) for slug, n in confirmed.items()}
        by_class = _by_class(confirmed, knowledge)
        mean = _mean(start, by_class, weights.start_cases)
        within = _within(within_start, confirmed, by_class, knowledge, weights)
    return PlantRates(start, mean, by_class, within_start, within, confirmed)


def priors_within(
    rates: PlantRates,
    own: CaseCounts,
    knowledge: Knowledge,
    weights: PriorWeights = INSTALLED_WEIGHTS,
) -> Priors:
    """The second step of `learned_priors`: one conveyor of the plant."""
    if not any(rates.counted.values()):
        return Priors()
    mean = _mean(rates.mean, own_counts(rates, own, knowledge, weights), weights.plant_cases)
    return Priors(
        classes={name: mean[name] / rates.start[name] for name in rates.start},
        causes={slug: rates.within[slug] / share for slug, share in rates.within_start.items()},
    )


def own_counts(
    rates: PlantRates, own: CaseCounts, knowledge: Knowledge, weights: PriorWeights
) -> dict[CauseClass, float]:
    """A conveyor's own cases by class, shares of unnamed ones among them."""
    confirmed = _known(own, knowledge)
    by_class = _by_class(confirmed, knowledge)
    if not own.unnamed:
        return by_class
    mean = _mean(rates.mean, by_class, weights.plant_cases)
    shared = _shared(own.unnamed, mean, rates.within, knowledge)
    return _by_class({slug: n + shared.get(slug, 0.0) for slug, n in confirmed.items()}, knowledge)


def start_shares(knowledge: Knowledge) -> dict[CauseClass, float]:
    """Share of each class of the catalogue before any case; they sum to 1."""
    names = {one.cause_class for one in knowledge.causes.values()}
    shares = {
        name: SURROUNDINGS_PRIOR if name is CauseClass.SURROUNDINGS else 1.0
        for name in sorted(names)
    }
    whole = sum(shares.values())
    return {name: share / whole for name, share in shares.items()}


def _catalogue_shares(knowledge: Knowledge) -> dict[str, float]:
    whole: dict[CauseClass, float] = {}
    for cause in knowledge.causes.values():
        whole[cause.cause_class] = whole.get(cause.cause_class, 0.0) + cause.weight
    return {
        slug: cause.weight / whole[cause.cause_class] for slug, cause in knowledge.causes.items()
    }


def _known(counts: CaseCounts, knowledge: Knowledge) -> dict[str, float]:
    return {slug: float(counts.confirmed.get(slug, 0)) for slug in knowledge.causes}


def _by_class(counts: Mapping[str, float], knowledge: Knowledge) -> dict[CauseClass, float]:
    found: dict[CauseClass, float] = {}
    for slug, cause in knowledge.causes.items():
        found[cause.cause_class] = found.get(cause.cause_class, 0.0) + counts[slug]
    return found


def _mean(
    before: Mapping[CauseClass, float], counts: Mapping[CauseClass, float], cases: float
) -> dict[CauseClass, float]:
    whole = cases + sum(counts.values())
    return {name: (cases * share + counts[name]) / whole for name, share in before.items()}


def _within(
    before: Mapping[str, float],
    counts: Mapping[str, float],
    by_class: Mapping[CauseClass, float],
    knowledge: Knowledge,
    weights: PriorWeights,
) -> dict[str, float]:
    cases = weights.catalogue_cases
    return {
        slug: (cases * before[slug] + counts[slug]) / (cases + by_class[cause.cause_class])
        for slug, cause in knowledge.causes.items()
    }


def _shared(
    unnamed: Mapping[frozenset[str], int],
    mean: Mapping[CauseClass, float],
    within: Mapping[str, float],
    knowledge: Knowledge,
) -> dict[str, float]:
    """Each unnamed case as shares of the causes that were not refuted; they sum to 1 a case."""
    joint = {
        slug: mean[cause.cause_class] * within[slug] for slug, cause in knowledge.causes.items()
    }
    found: dict[str, float] = {}
    for refuted, cases in unnamed.items():
        left = {slug: share for slug, share in joint.items() if slug not in refuted}
        # Nothing is learned where nothing the catalogue knows was ruled out, or everything.
        if not left or len(left) == len(joint):
            continue
        whole = sum(left.values())
        for slug, share in left.items():
            found[slug] = found.get(slug, 0.0) + cases * share / whole
    return found
