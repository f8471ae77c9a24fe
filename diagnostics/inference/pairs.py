"""Two causes at once, named only where one alone leaves the readings plainly unexplained."""

import math
from itertools import permutations

import numpy as np

from diagnostics.inference.answer import Pair
from diagnostics.inference.onset_place import REACH_M
from diagnostics.inference.profile import Profile
from diagnostics.inference.ranking import Entry
from diagnostics.inference.vocabulary import BELT_CLASSES
from diagnostics.mechanics.nodes import Floats

# Two causes at once are rarer than one; engineering judgement, to be calibrated.
PAIR_PRIOR = 0.08
# Pairs are named when together they are likelier than any single cause, and these only.
_LARGEST_LOG = 600.0  # keeps the exponential finite
_CLEARLY_NEEDED, _LEAST_PROBABILITY, _MOST_PAIRS = 0.5, 0.05, 3


def pairs_of(profile: Profile, entries: tuple[Entry, ...], apart_m: float) -> tuple[Pair, ...]:
    """Explanations by two causes, the likeliest first; empty when one cause is enough.

    Parameters
    ----------
    profile : Profile
    entries : tuple of Entry
        Single suspicions; those that travel or have no place are no part of a pair.
    apart_m : float
        Once round the loop, for the shortest way between two places. [m]

    Notes
    -----
    Weight of the pair (i, j): ``0.08 p_i (p_j / f_j) Z_ij / Z_i`` with p the probability of the
    single suspicion, f its fit (so that p / f is what it had before the readings), Z_i and Z_ij the
    evidence of one and of two templates with their amplitudes integrated out.
    """
    placed = [one for one in entries if one.column is not None and one.probability > 0]
    if len(placed) < 2:
        return ()
    gain, both = _gains(profile, placed)
    weights: dict[tuple[str, str], float] = {}
    for one, other in permutations(range(len(placed)), 2):
        if not _may_pair(placed[one], placed[other], apart_m):
            continue
        first, second = placed[one], placed[other]
        log_ratio = float(both[one, other] - gain[one]) - second.log_fit
        log_weight = math.log(PAIR_PRIOR / 2) + math.log(first.probability)
        log_weight += math.log(second.probability) + log_ratio
        weight = math.exp(min(log_weight, _LARGEST_LOG))
        names = sorted((first, second), key=lambda entry: -entry.probability)
        key = (names[0].cause.slug, names[1].cause.slug)
        weights[key] = weights.get(key, 0.0) + weight
    whole = sum(one.probability for one in entries) + sum(weights.values())
    if not math.isfinite(whole) or sum(weights.values()) / whole < _CLEARLY_NEEDED:
        return ()
    ordered = sorted(weights.items(), key=lambda one: (-one[1], one[0]))
    return tuple(
        Pair(key, weight / whole)
        for key, weight in ordered[:_MOST_PAIRS]
        if weight / whole >= _LEAST_PROBABILITY
    )


def _may_pair(one: Entry, other: Entry, apart_m: float) -> bool:
    """Two causes at one place, or of one class next to each other, cannot be told from one."""
    if one.cause.cause_class in BELT_CLASSES or other.cause.cause_class in BELT_CLASSES:
        return False
    if one.position_m is None or other.position_m is None:
        return False
    way = (one.position_m - other.position_m) % apart_m
    near = min(way, apart_m - way)
    return near > (2 * REACH_M if one.cause.cause_class is other.cause.cause_class else 0.0)


def _gains(profile: Profile, entries: list[Entry]) -> tuple[Floats, Floats]:
    """Log evidence over nothing at all, of each template and of each pair of templates."""
    shapes, spreads = profile.shapes_of([one.column for one in entries if one.column is not None])
    singles, doubles, weights = [], [], []
    for whitened in profile.whitened(shapes):
        scaled = whitened.shapes * spreads
        overlap, match = scaled.T @ scaled, scaled.T @ whitened.readings
        own = 1 + np.diag(overlap)
        singles.append(0.5 * match**2 / own - 0.5 * np.log(own))
        spread = np.outer(own, own) - overlap**2
        # Inverse of the two by two matrix I + D A D for every pair at once.
        alone = np.outer(match**2, own)
        joint = alone + alone.T - 2 * overlap * np.outer(match, match)
        doubles.append(0.5 * joint / spread - 0.5 * np.log(spread))
        weights.append(whitened.log_nothing)
    share = np.array(weights) - max(weights)
    return _averaged(np.array(singles), share), _averaged(np.array(doubles), share)


def _averaged(logs: Floats, log_share: Floats) -> Floats:
    """Log of the mean over backgrounds, each weighted by how well it explains on its own."""
    shift = log_share.reshape((-1,) + (1,) * (logs.ndim - 1))
    top = (logs + shift).max(axis=0)
    result: Floats = top + np.log(np.sum(np.exp(logs + shift - top), axis=0))
    return result - math.log(float(np.sum(np.exp(log_share))))
