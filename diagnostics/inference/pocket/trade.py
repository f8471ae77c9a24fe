"""Causes, rules and words of one conveyor, as far as the ranking on a telephone asks for them."""

import math
from collections.abc import Iterable
from typing import Any

from diagnostics.inference.causes import Cause, Knowledge
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.feature_words import Feature
from diagnostics.inference.features import conveyor_words, splice_positions_m
from diagnostics.inference.places import family_names, is_placeless, is_possible
from diagnostics.inference.pocket.belt import KINDS
from diagnostics.inference.posterior import log_rule
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass
from plant.loop.path import Loop

# Long belts of the other kind of defect are told by this unit of their size.
_CAMBER_UNIT = "1/m"


def trade_told(
    conveyor: ConveyorFacts, knowledge: Knowledge, families: Iterable[str]
) -> dict[str, Any]:
    """Header with every cause that is possible here and every rule that can hold here.

    Parameters
    ----------
    conveyor : ConveyorFacts
    knowledge : Knowledge
    families : iterable of str
        Names of the candidate families of the conveyor.
    """
    known = set(families)
    possible = [one for one in knowledge.causes.values() if is_possible(one, conveyor)]
    number = {one.slug: place for place, one in enumerate(possible)}
    return {
        "causes": [_cause(one, conveyor.loop, known) for one in possible],
        "rules": list(_rules(conveyor, knowledge, number)),
        "knowledge": knowledge.version,
        "splices": list(splice_positions_m(conveyor.belt)),
        "splice_names": [one.name for one in conveyor.belt.splices],
    }


def _cause(cause: Cause, loop: Loop, known: set[str]) -> dict[str, Any]:
    told: dict[str, Any] = {"slug": cause.slug, "class": cause.cause_class.value}
    if cause.cause_class in BELT_CLASSES:
        told["is_long"] = cause.size_unit == _CAMBER_UNIT
        told["at_splice"] = cause.cause_class is CauseClass.BELT_SPLICE
        return told
    # Twice where two components have one name: their places then count twice, as with the engine.
    names = [] if is_placeless(cause) else family_names(cause, loop)
    told["families"] = [name for name in names if name in known]
    told["kinds"] = sorted(KINDS.index(kind) for kind in cause.stands_at)
    return told


def _rules(
    conveyor: ConveyorFacts, knowledge: Knowledge, number: dict[str, int]
) -> Iterable[dict[str, Any]]:
    """What they ask of the conveyor is answered here, and their ratios are logarithms."""
    here = conveyor_words(conveyor)
    for rule in knowledge.rules:
        asked = dict(rule.when)
        wanted = asked.pop(Feature.CONVEYOR.value, None)
        if wanted is not None and not wanted & here:
            continue
        speaks = [
            [number[slug], round(log, 5)]
            for slug, log in log_rule(rule).items()
            if slug in number and not math.isclose(log, 0.0, abs_tol=1e-9)
        ]
        if speaks:
            when = {name: sorted(words) for name, words in asked.items()}
            yield {"when": when, "speaks": speaks}
