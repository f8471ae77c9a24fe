"""Where the belt mechanics and the trade's rules disagree, said instead of smoothed over.

Both stay as evidence in the answer. A skewed head pulley, say, moves the belt at the head in the
model and some return idlers later in the trade's experience.
"""

import math
from collections.abc import Iterable, Mapping

from diagnostics.inference.causes import Knowledge
from diagnostics.inference.posterior import Likelihoods, matching_rules
from diagnostics.inference.priors import Priors, log_priors
from diagnostics.inference.vocabulary import CauseClass

# The first of one view must be so many times likelier there than the first of the other one;
# engineering judgement.
CLEARLY_AHEAD = 4.0


def disagreement(
    likelihoods: Likelihoods, knowledge: Knowledge, priors: Priors
) -> tuple[CauseClass, CauseClass] | None:
    """First class by the mechanics alone and by the rules alone, where each contradicts the other.

    Parameters
    ----------
    likelihoods : Likelihoods
    knowledge : Knowledge
    priors : Priors

    Returns
    -------
    tuple of CauseClass or None
        (by mechanics, by rules); None where they agree or one of them has no clear opinion.
    """
    causes = [one for one in knowledge.causes.values() if one.slug in likelihoods.log_evidence]
    prior = log_priors(causes, priors)
    if not prior:
        return None
    told = dict.fromkeys(prior, 0.0)
    for rule in matching_rules(knowledge, likelihoods.features):
        for one in rule.speaks:
            if one.cause in told:
                # In full: what the rules would say if nothing had been computed.
                told[one.cause] += math.log(one.ratio)
    seen = likelihoods.log_evidence
    computed = _by_class(knowledge, {slug: log + seen[slug] for slug, log in prior.items()})
    trade = _by_class(knowledge, {slug: log + told[slug] for slug, log in prior.items()})
    by_mechanics, by_rules = _first(computed), _first(trade)
    opposed = (
        computed[by_mechanics] >= CLEARLY_AHEAD * computed[by_rules]
        and trade[by_rules] >= CLEARLY_AHEAD * trade[by_mechanics]
    )
    return (by_mechanics, by_rules) if opposed else None


def notes_on_views(views: tuple[CauseClass, CauseClass] | None) -> Iterable[str]:
    if views is None:
        return
    by_mechanics, by_rules = (one.value.replace("_", " ") for one in views)
    yield (
        f"The computed belt path puts {by_mechanics} first, the rules of the trade alone would put "
        f"{by_rules} first. Both count in the figures; look at both places."
    )


def _by_class(knowledge: Knowledge, logs: Mapping[str, float]) -> dict[CauseClass, float]:
    top = max(logs.values())
    found: dict[CauseClass, float] = {}
    for slug, log in logs.items():
        name = knowledge.causes[slug].cause_class
        found[name] = found.get(name, 0.0) + math.exp(log - top)
    return found


def _first(shares: Mapping[CauseClass, float]) -> CauseClass:
    return max(shares, key=lambda name: (shares[name], name))
