"""Confirmed cases drawn at random from the catalogue, and the counts they come to."""

from collections import Counter
from collections.abc import Iterable

import numpy as np

from diagnostics.inference.case_counts import PlantCounts
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.many_cases import ConfirmedCase
from diagnostics.inference.posterior import Likelihoods


def drawn_cases(
    knowledge: Knowledge, count: int, seed: int = 7, conveyors: int = 5, surprise: float = 2.0
) -> list[ConfirmedCase]:
    """The truth is drawn evenly; its evidence is good by a few logs, that of the others noise."""
    rng = np.random.default_rng(seed)
    slugs = list(knowledge.causes)
    words = sorted(
        {
            (name, word)
            for rule in knowledge.rules
            for name, its in rule.when.items()
            for word in its
        }
    )
    found = []
    for key in range(count):
        truth = slugs[int(rng.integers(len(slugs)))]
        possible = [slug for slug in slugs if slug == truth or rng.random() < 0.8]
        log_evidence = dict(zip(possible, rng.normal(0, surprise, len(possible)), strict=True))
        log_evidence[truth] += 3
        features: dict[str, set[str]] = {}
        for number in rng.choice(len(words), size=6, replace=False):
            features.setdefault(words[number][0], set()).add(words[number][1])
        likelihoods = Likelihoods(log_evidence, {k: frozenset(v) for k, v in features.items()})
        found.append(ConfirmedCase(key, likelihoods, (truth,), int(rng.integers(conveyors))))
    return found


def counts_of(
    cases: Iterable[ConfirmedCase], unnamed: Iterable[tuple[int, frozenset[str], int]] = ()
) -> PlantCounts:
    tally = Counter((one.conveyor, one.truth[0]) for one in cases)
    return PlantCounts.of(((*key, count) for key, count in tally.items()), unnamed)
