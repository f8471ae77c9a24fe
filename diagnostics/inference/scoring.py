"""Probability of every cause at every place.

The probability of a cause is `posterior`'s; within a cause its places share it as they explain
what was seen: rules and base rates speak of causes, not of places.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.causes import Cause, Knowledge
from diagnostics.inference.places import Places, is_possible
from diagnostics.inference.posterior import Likelihoods
from diagnostics.inference.weighing import Weighed, Weigher
from diagnostics.mechanics.nodes import Floats


@dataclass(frozen=True)
class Standing:
    """One cause with the probability of each of its places.

    Attributes
    ----------
    cause : Cause
    weighed : Weighed
        What the evidence says of it at each place.
    probability : array, shape (n,)
        All standings of a case sum to 1.
    log_fit : array, shape (n,)
        How many times better than the average suspicion of the case each place explains what
        was seen (offsets, remarks on persistence, timed look), as a natural logarithm.
    """

    cause: Cause
    weighed: Weighed
    probability: Floats
    log_fit: Floats

    @property
    def total(self) -> float:
        return float(self.probability.sum())

    @property
    def places(self) -> Places | None:
        return self.weighed.places

    @property
    def belt_positions_m(self) -> tuple[float | None, ...]:
        return self.weighed.belt_positions_m


def weigh_causes(weigher: Weigher, knowledge: Knowledge) -> dict[str, Weighed]:
    """What the evidence says of every cause that is possible on this conveyor, by slug."""
    conveyor = weigher.evidence.conveyor
    return {
        one.slug: weigher.weigh(one)
        for one in knowledge.causes.values()
        if is_possible(one, conveyor)
    }


def likelihoods_of(
    weighed: Mapping[str, Weighed], features: Mapping[str, frozenset[str]]
) -> Likelihoods:
    """In one number a cause, counted from the best explained one."""
    logs = {slug: one.log_evidence for slug, one in weighed.items()}
    top = max(logs.values(), default=0.0)
    return Likelihoods({slug: log - top for slug, log in logs.items()}, features)


def standings_of(
    weighed: Mapping[str, Weighed],
    shares: Mapping[str, float],
    log_prior: Mapping[str, float],
    knowledge: Knowledge,
) -> tuple[Standing, ...]:
    """Every cause with its places and their probabilities.

    Parameters
    ----------
    weighed : mapping of str to Weighed
        By slug.
    shares : mapping of str to float
        Probability of each cause, of `posterior.cause_probabilities`.
    log_prior : mapping of str to float
        Before the evidence, of `priors.log_priors`.
    knowledge : Knowledge
    """
    average = _log_sum(
        weighed[slug].log_share + weighed[slug].log_seen + weighed[slug].log_timed + prior
        for slug, prior in log_prior.items()
    )
    return tuple(
        Standing(
            cause=knowledge.causes[slug],
            weighed=weighed[slug],
            probability=share * np.exp(weighed[slug].log_places - weighed[slug].log_evidence),
            log_fit=weighed[slug].log_seen + weighed[slug].log_timed - average,
        )
        for slug, share in shares.items()
    )


def _log_sum(logs: Iterable[Floats]) -> float:
    every = np.concatenate(list(logs))
    top = float(every.max())
    return top + math.log(float(np.exp(every - top).sum()))
