"""The words of an onset by its place, as stretches along the loop.

Asked of the engine place by place, so that the telephone needs none of its rules.
"""

from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Any

import numpy as np

from diagnostics.inference.evidence import ConveyorFacts, Sighting
from diagnostics.inference.onset_place import PAST_HEAD_M, PAST_SKIRTS_M, REACH_M, onset_words
from diagnostics.inference.vocabulary import LoadState
from plant.loop.path import Loop
from plant.loop.vocabulary import Run
from plant.loop.zones import skirt_end_m

# Stretches shorter than this are asked for only beside pulleys and skirts, as a share of the loop.
_STEPS = 400
# Ends of stretches are told to within this. [m]
_NEAR_M = 1e-6


def onsets_told(conveyor: ConveyorFacts) -> dict[str, list[Any]]:
    """By run: [last position of a stretch, its words], in the order of the loop."""
    places = sorted(set(_places(conveyor.loop)))
    return {run.value: _stretches(_words_on(conveyor, run), places) for run in Run}


def _words_on(conveyor: ConveyorFacts, run: Run) -> Callable[[float], frozenset[str]]:
    length_m, much_mm = conveyor.loop.length_m, conveyor.clearance_mm

    def words(position_m: float) -> frozenset[str]:
        """Of a belt that is off at one place and centred at another."""
        other_m = (position_m + length_m / 2) % length_m
        seen = (
            Sighting("off", run, position_m, LoadState.LOADED, offset_mm=much_mm),
            Sighting("centred", run, other_m, LoadState.LOADED, offset_mm=0.0),
        )
        return onset_words(conveyor, seen)

    return words


def _places(loop: Loop) -> Iterable[float]:
    """Closer than the stretches that the words know, so that none is stepped over."""
    asked = list(np.linspace(0.0, loop.length_m, _STEPS, endpoint=False))
    steps = (REACH_M / 2, REACH_M, PAST_SKIRTS_M, PAST_HEAD_M)
    around = [0.0, *steps, *(-one for one in steps)]
    for part in loop.pulleys:
        for at_m in (part.first_m, part.first_m + part.arc_m):
            asked += [at_m + way for way in around]
    asked += [skirt_end_m(loop) + way for way in around]
    for at_m in asked:
        for place in (at_m - 0.01, at_m, at_m + 0.01):
            if 0 <= place < loop.length_m:
                yield float(place)


def _stretches(words: Callable[[float], frozenset[str]], places: list[float]) -> list[Any]:
    found: list[Any] = []
    told = [words(one) for one in places]
    for (start, end), (before, after) in zip(pairwise(places), pairwise(told), strict=True):
        if before != after:
            found.append([_last(words, start, end), sorted(before)])
    return [*found, [places[-1] + 1.0, sorted(told[-1])]]


def _last(words: Callable[[float], frozenset[str]], start: float, end: float) -> float:
    """The last place with the words of the start, told so that `<=` is safe to ask."""
    before = words(start)
    while end - start > _NEAR_M / 4:
        middle = (start + end) / 2
        if words(middle) == before:
            start = middle
        else:
            end = middle
    near = round(start, 5)
    if abs(near - start) <= _NEAR_M:
        # A component's own place, or a round distance from it: on which side it counts is known.
        return near + _NEAR_M if words(near) == before else near - _NEAR_M
    return start
