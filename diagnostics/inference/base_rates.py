"""Base rates learned from confirmed causes: of the plant, and of the conveyor within the plant.

Dirichlet, in two steps: the plant's cases pull the equal start, the conveyor's own cases pull the
plant's rates. With few cases little moves; nothing is ever ruled out.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

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
class ConfirmedCause:
    """A cause that a person accepted in another case of the plant."""

    slug: str
    on_this_conveyor: bool


def learned_priors(confirmed: Iterable[ConfirmedCause], knowledge: Knowledge) -> Priors:
    """Weights of classes and causes after the confirmed cases.

    Parameters
    ----------
    confirmed : iterable of ConfirmedCause
        Causes the catalogue no longer knows are passed over.
    knowledge : Knowledge

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

    References
    ----------
    Gelman et al., Bayesian Data Analysis, section on the multinomial model (from memory).
    """
    known = [one for one in confirmed if one.slug in knowledge.causes]
    if not known:
        return Priors()
    class_of = {slug: cause.cause_class for slug, cause in knowledge.causes.items()}
    start = _start(knowledge)
    plant = _mean(start, Counter(class_of[one.slug] for one in known), START_CASES)
    own = Counter(class_of[one.slug] for one in known if one.on_this_conveyor)
    rates = _mean(plant, own, PLANT_CASES)
    return Priors(
        classes={name: rates[name] / start[name] for name in start},
        causes=_within_classes(Counter(one.slug for one in known), knowledge),
    )


def _start(knowledge: Knowledge) -> dict[CauseClass, float]:
    names = {one.cause_class for one in knowledge.causes.values()}
    weights = {
        name: SURROUNDINGS_PRIOR if name is CauseClass.SURROUNDINGS else 1.0
        for name in sorted(names)
    }
    whole = sum(weights.values())
    return {name: weight / whole for name, weight in weights.items()}


def _mean(
    before: dict[CauseClass, float], counts: Counter[CauseClass], cases: float
) -> dict[CauseClass, float]:
    whole = cases + counts.total()
    return {name: (cases * share + counts[name]) / whole for name, share in before.items()}


def _within_classes(counts: Counter[str], knowledge: Knowledge) -> dict[str, float]:
    weights: dict[CauseClass, float] = {}
    seen: Counter[CauseClass] = Counter()
    for slug, cause in knowledge.causes.items():
        weights[cause.cause_class] = weights.get(cause.cause_class, 0.0) + cause.weight
        seen[cause.cause_class] += counts[slug]
    found = {}
    for slug, cause in knowledge.causes.items():
        share = cause.weight / weights[cause.cause_class]
        learned = CATALOGUE_CASES * share + counts[slug]
        found[slug] = learned / (CATALOGUE_CASES + seen[cause.cause_class]) / share
    return found
