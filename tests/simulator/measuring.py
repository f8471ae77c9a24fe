"""Many simulated cases through the engine, on all cores; each case has a generator of its own."""

import json
import multiprocessing
import os
from collections.abc import Callable, Iterable
from functools import cache, partial
from typing import Any

import numpy as np

from diagnostics import knowledge_files
from diagnostics.inference.answer import Answer
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evaluation.judging import Judged, judge
from diagnostics.inference.evaluation.truth import KnownCase, read_known_cases
from tests.simulator import cases
from tests.simulator.following import even_looks, followed_looks

USUAL_MISALIGNMENT_DEG = 0.2


def one_cause_judged(seed: int, count: int, misalignment_deg: float) -> list[Judged]:
    return _on_all_cores(partial(_judged, cases.simulate, seed, misalignment_deg), range(count))


def two_causes_judged(seed: int, count: int) -> list[Judged]:
    draw = partial(_judged, cases.simulate_two, seed, USUAL_MISALIGNMENT_DEG)
    return _on_all_cores(draw, range(count))


def looks_judged(seed: int, count: int) -> list[dict[str, Judged]]:
    """The same belts after so many even looks, and after the looks that the engine asked for."""
    return _on_all_cores(partial(_looks, seed), range(count))


def _on_all_cores(work: Callable[[int], Any], numbers: Iterable[int]) -> list[Any]:
    # Spawned, not forked: the test run may hold threads and connections.
    with multiprocessing.get_context("spawn").Pool(os.cpu_count()) as pool:
        return pool.map(work, numbers, chunksize=4)


def _judged(draw: Callable[..., dict], seed: int, misalignment_deg: float, number: int) -> Judged:
    chance = np.random.default_rng([seed, number])
    case = _known(draw(chance, number, misalignment_deg=misalignment_deg))
    return judge(case, _answer(case), _knowledge())


def _looks(seed: int, number: int) -> dict[str, Judged]:
    scene = cases.one_cause(np.random.default_rng([seed, number]), number)

    def ask(readings: list[dict]) -> tuple[Judged, Answer]:
        case = _known(scene.case_of(readings))
        answer = _answer(case)
        return judge(case, answer, _knowledge()), answer

    confirming = frozenset(one.confirm.what for one in _knowledge().causes.values())
    return even_looks(scene, ask) | followed_looks(scene, ask, confirming)


def _known(case: dict) -> KnownCase:
    (found,) = read_known_cases(json.dumps(case).encode())
    return found


def _answer(case: KnownCase) -> Answer:
    return diagnose(case.evidence, _knowledge())


@cache
def _knowledge() -> Knowledge:
    return knowledge_files.current()
