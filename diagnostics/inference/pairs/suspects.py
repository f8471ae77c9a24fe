"""Who may be one of two causes: every class at every candidate place, and what travels."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import chain

import numpy as np

from diagnostics.inference.causes import Cause, Knowledge
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass
from diagnostics.inference.weighing import Weighed
from diagnostics.mechanics.nodes import Floats

# Places kept of each group of causes; the rest explain nothing that these do not.
_PLACES_KEPT = 40


@dataclass(frozen=True)
class Placed:
    """A class of causes at one candidate place, under the name of its likeliest cause.

    Attributes
    ----------
    log_weight, log_seen : float
        Before the offsets (the weights of a case sum to 1), and their likelihood.
    column : tuple of int
        Family and candidate of the profile.
    """

    cause: Cause
    log_weight: float
    log_seen: float
    position_m: float
    component: str | None
    column: tuple[int, int]


@dataclass(frozen=True)
class Travelling:
    """A cause at one place on the belt; `log_timed` is what the timed look says of it."""

    cause: Cause
    log_weight: float
    log_timed: float
    belt_position_m: float | None
    component: str | None


@dataclass(frozen=True)
class Suspects:
    """Of one case, the likeliest first; `log_single` is the evidence for one cause alone."""

    placed: tuple[Placed, ...]
    travelling: tuple[Travelling, ...]
    log_single: float


def suspects_of(
    weighed: Mapping[str, Weighed],
    log_weight: Mapping[str, float],
    knowledge: Knowledge,
    splice_names: Mapping[float | None, str],
) -> Suspects:
    """Everything that may be one of two causes.

    Parameters
    ----------
    weighed : mapping of str to Weighed
        By slug.
    log_weight : mapping of str to float
        Base rate times rules of each cause.
    knowledge : Knowledge
    splice_names : mapping of float to str
        By belt position.
    """
    before = {
        slug: log_weight[slug] + one.log_share + sum(one.log_found)
        for slug, one in weighed.items()
        if slug in log_weight
    }
    whole = log_sum(np.concatenate(list(before.values())))
    single = [
        weights + weighed[slug].log_seen + weighed[slug].log_timed
        for slug, weights in before.items()
    ]
    groups: dict[tuple[CauseClass, int], list[str]] = {}
    for slug in before:
        if weighed[slug].places is not None:
            key = (knowledge.causes[slug].cause_class, id(weighed[slug].places))
            groups.setdefault(key, []).append(slug)
    placed = sorted(
        chain.from_iterable(
            _placed(
                [knowledge.causes[one] for one in slugs],
                [before[one] for one in slugs],
                weighed[slugs[0]],
                whole,
            )
            for slugs in groups.values()
        ),
        key=lambda one: (-one.log_weight - one.log_seen, one.column),
    )
    return Suspects(
        tuple(placed),
        tuple(_travelling(before, weighed, knowledge, splice_names, whole)),
        log_sum(np.concatenate(single)) - whole,
    )


def log_sum(logs: Floats) -> float:
    """Natural log of the sum of numbers given by their logs; of none, minus infinity."""
    top = float(np.max(logs, initial=-math.inf))
    return top + math.log(float(np.exp(logs - top).sum())) if math.isfinite(top) else top


def _placed(
    causes: list[Cause], before: list[Floats], seen: Weighed, whole: float
) -> Iterable[Placed]:
    """Causes of one class at the same candidate places: one suspect a place."""
    places = seen.places
    if places is None:
        return
    stacked = np.array(before)
    top = stacked.max(axis=0)
    weight = top + np.log(np.exp(stacked - top).sum(axis=0)) - whole
    likeliest = stacked.argmax(axis=0)
    for one in np.argsort(-(weight + seen.log_seen), kind="stable")[:_PLACES_KEPT]:
        yield Placed(
            causes[int(likeliest[one])],
            float(weight[one]),
            float(seen.log_seen[one]),
            float(places.position_m[one]),
            places.components[one] or None,
            places.columns[one],
        )


def _travelling(
    before: Mapping[str, Floats],
    weighed: Mapping[str, Weighed],
    knowledge: Knowledge,
    splice_names: Mapping[float | None, str],
    whole: float,
) -> Iterable[Travelling]:
    for slug, weights in before.items():
        cause, seen = knowledge.causes[slug], weighed[slug]
        if cause.cause_class not in BELT_CLASSES:
            continue
        is_splice = cause.cause_class is CauseClass.BELT_SPLICE
        for weight, timed, position_m in zip(
            weights, seen.log_timed, seen.belt_positions_m, strict=True
        ):
            name = splice_names.get(position_m) if is_splice else None
            yield Travelling(cause, float(weight) - whole, float(timed), position_m, name)
