"""Probability of every cause at every place.

P(cause, place) is proportional to: prior of its class (equal over the classes that are possible
here) x its weight within the class x 1 / number of its places x how well its template explains
the profile x what was said of persistence x the timed look x the ratios of the rules x findings.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.causes import Cause, Knowledge, Rule
from diagnostics.inference.evidence import Evidence, FindingFact
from diagnostics.inference.feature_words import Feature
from diagnostics.inference.places import Places, is_possible
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.inference.weighing import Weigher
from diagnostics.mechanics.nodes import Floats

# What rubs, blows or freezes is rarer than the nine classes; engineering judgement.
SURROUNDINGS_PRIOR = 0.3
# A close inspection is right so many times oftener than wrong; engineering judgement.
FINDING_RATIO = 30.0
# Rules about the offsets themselves repeat what the profile already weighs: they count with this
# power; engineering judgement, to be calibrated.
PROFILE_RULE_POWER = 0.25
_SEEN_IN_PROFILE = frozenset({Feature.ONSET, Feature.PATTERN, Feature.LOAD, Feature.TRAVEL})


@dataclass(frozen=True)
class Standing:
    """One cause with the probability of each of its places.

    Attributes
    ----------
    cause : Cause
    probability : array, shape (n,)
        All standings of a case sum to 1.
    log_fit : array, shape (n,)
        How many times better than the average suspicion of the case each place explains what
        was seen (offsets, remarks on persistence, timed look), as a natural logarithm.
    places : Places or None
        Candidate places in step with `probability`; None for what travels or has no place.
    belt_positions_m : tuple of (float or None)
        For what travels: where on the belt, in step with `probability`. [m]
    """

    cause: Cause
    probability: Floats
    log_fit: Floats
    places: Places | None
    belt_positions_m: tuple[float | None, ...] = ()

    @property
    def total(self) -> float:
        return float(self.probability.sum())


def standings_of(
    weigher: Weigher, knowledge: Knowledge, rules: tuple[Rule, ...]
) -> tuple[Standing, ...]:
    """Every cause that is possible on this conveyor, with its places and probabilities.

    Parameters
    ----------
    weigher : Weigher
        Holds the evidence.
    knowledge : Knowledge
    rules : tuple of Rule
        Those whose conditions hold, of `matching_rules`.
    """
    evidence = weigher.evidence
    raw = []
    for cause, log_prior in _log_priors(evidence, knowledge):
        seen = weigher.weigh(cause)
        told = _log_rules(cause, rules) + _log_findings(cause, evidence, seen.places)
        raw.append((cause, seen, log_prior, np.zeros_like(seen.log_weight) + told))
    average = _log_sum([seen.log_weight + prior for _, seen, prior, _ in raw])
    average -= _log_sum([np.array([prior]) for _, _, prior, _ in raw])
    whole = _log_sum([seen.log_weight + prior + told for _, seen, prior, told in raw])
    return tuple(
        Standing(
            cause=cause,
            probability=np.exp(seen.log_weight + prior + told - whole),
            log_fit=seen.log_weight - seen.log_share - average,
            places=seen.places,
            belt_positions_m=seen.belt_positions_m,
        )
        for cause, seen, prior, told in raw
    )


def _log_sum(logs: list[Floats]) -> float:
    every = np.concatenate(logs)
    top = float(every.max())
    return top + math.log(float(np.exp(every - top).sum()))


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


def _log_rules(cause: Cause, rules: tuple[Rule, ...]) -> float:
    return sum(
        rule_power(rule) * math.log(one.ratio)
        for rule in rules
        for one in rule.speaks
        if one.cause == cause.slug
    )


def _log_priors(evidence: Evidence, knowledge: Knowledge) -> list[tuple[Cause, float]]:
    possible = [one for one in knowledge.causes.values() if is_possible(one, evidence.conveyor)]
    weight = {one.slug: one.weight * evidence.priors.get(one.slug, 1.0) for one in possible}
    by_class: dict[CauseClass, float] = {}
    for one in possible:
        by_class[one.cause_class] = by_class.get(one.cause_class, 0.0) + weight[one.slug]
    return [
        (
            one,
            math.log(weight[one.slug] / by_class[one.cause_class])
            + math.log(SURROUNDINGS_PRIOR if one.cause_class is CauseClass.SURROUNDINGS else 1.0),
        )
        for one in possible
        if weight[one.slug] > 0
    ]


def _log_findings(cause: Cause, evidence: Evidence, places: Places | None) -> Floats | float:
    total: Floats | float = 0.0
    for finding in evidence.findings:
        if finding.cause != cause.slug:
            continue
        ratio = math.log(FINDING_RATIO) * (1 if finding.is_present else -1)
        total = total + ratio * _at_component(finding, evidence, places)
    return total


def _at_component(
    finding: FindingFact, evidence: Evidence, places: Places | None
) -> Floats | float:
    """1 where the finding was made, 0 elsewhere; 1 throughout when it names no component."""
    if finding.component is None or places is None:
        return 1.0
    station = evidence.conveyor.loop.station_named(finding.component)
    if station is None:
        return 1.0
    here = station.position_m
    inside = (places.from_m - 1e-6 <= here) & (here <= places.to_m + 1e-6)
    return inside.astype(float)
