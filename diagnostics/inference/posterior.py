"""From evidence to probability: base rates x what was seen x the rules, for every cause.

The one owner of that product. It asks for no mechanics: what the offsets and timed looks say of
each cause comes in as `Likelihoods`, which are kept with every answer, so that changed rules or
base rates re-rank old cases at once.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from diagnostics.inference.causes import Knowledge, Rule
from diagnostics.inference.feature_words import Feature
from diagnostics.inference.priors import Priors, log_priors

# Rules about the offsets themselves repeat what the profile already weighs: they count with this
# power; engineering judgement, to be calibrated.
PROFILE_RULE_POWER = 0.1
_SEEN_IN_PROFILE = frozenset({Feature.ONSET, Feature.PATTERN, Feature.LOAD, Feature.TRAVEL})


@dataclass(frozen=True)
class Likelihoods:
    """What the evidence of one case says of every cause, rules and base rates apart.

    Attributes
    ----------
    log_evidence : mapping of str to float
        By slug, for every cause that is possible on the conveyor: natural log of the mean over
        its places of the likelihood of offsets, remarks, timed looks and findings, up to one
        constant for the case.
    features : mapping of str to frozenset of str
        The words that hold, by feature of the rules.
    """

    log_evidence: Mapping[str, float]
    features: Mapping[str, frozenset[str]]

    def as_json(self) -> dict[str, Any]:
        return {
            "log_evidence": dict(self.log_evidence),
            "features": {name: sorted(words) for name, words in self.features.items() if words},
        }

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Likelihoods":
        """The inverse of `as_json`.

        Raises
        ------
        KeyError
            If it was kept by something else.
        """
        return cls(
            log_evidence=dict(kept["log_evidence"]),
            features={name: frozenset(words) for name, words in kept["features"].items()},
        )


def cause_probabilities(
    likelihoods: Likelihoods, knowledge: Knowledge, priors: Priors
) -> dict[str, float]:
    """Probability of every cause, by slug; they sum to 1.

    Parameters
    ----------
    likelihoods : Likelihoods
    knowledge : Knowledge
        Any version; causes that were not weighed with the evidence are left out.
    priors : Priors

    Notes
    -----
    Bayes: ``p(c | evidence) ~ p(c) L(c) prod r(rule, c)^power`` over the rules that hold.
    """
    weighed = [one for one in knowledge.causes.values() if one.slug in likelihoods.log_evidence]
    told = log_rules(matching_rules(knowledge, likelihoods.features))
    logs = {
        slug: log_prior + likelihoods.log_evidence[slug] + told.get(slug, 0.0)
        for slug, log_prior in log_priors(weighed, priors).items()
    }
    top = max(logs.values(), default=0.0)
    weights = {slug: math.exp(log - top) for slug, log in logs.items()}
    whole = sum(weights.values())
    return {slug: weight / whole for slug, weight in weights.items()}


def matching_rules(
    knowledge: Knowledge, features: Mapping[str, frozenset[str]]
) -> tuple[Rule, ...]:
    """Rules all of whose features have one of their words in the evidence."""
    return tuple(
        rule
        for rule in knowledge.rules
        if all(words & features.get(feature, frozenset()) for feature, words in rule.when.items())
    )


def rule_power(rule: Rule) -> float:
    """1 for what only people can say, less for what the offsets and timed looks say anyway."""
    return PROFILE_RULE_POWER if set(rule.when) & _SEEN_IN_PROFILE else 1.0


def log_rule(rule: Rule) -> dict[str, float]:
    """What one rule adds to each cause it speaks of, by slug."""
    found: dict[str, float] = {}
    for one in rule.speaks:
        found[one.cause] = found.get(one.cause, 0.0) + rule_power(rule) * math.log(one.ratio)
    return found


def log_rules(rules: Iterable[Rule]) -> dict[str, float]:
    """What all of them together add to each cause they speak of, by slug."""
    found: dict[str, float] = {}
    for rule in rules:
        for slug, log in log_rule(rule).items():
            found[slug] = found.get(slug, 0.0) + log
    return found
