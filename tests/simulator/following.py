"""Looking where the engine asks one to look, against looking at even distances."""

import re
from collections.abc import Callable

import numpy as np

from diagnostics.inference.answer import Answer, NextCheck
from diagnostics.inference.evaluation.judging import Judged
from diagnostics.inference.vocabulary import LoadState
from tests.simulator.cases import Scene

Ask = Callable[[list[dict]], tuple[Judged, Answer]]
EVEN = (3, 8, 15, 25)
START, FOLLOWED = 3, (8, 15)


def even_looks(scene: Scene, ask: Ask) -> dict[str, Judged]:
    """Answers after readings at so many stations, spread evenly round the loop."""
    observer, state = scene.observer, scene.states[0]
    return {
        f"{count} even": ask(observer.readings_at(evenly(scene, count), state))[0] for count in EVEN
    }


def followed_looks(scene: Scene, ask: Ask, confirming: frozenset[str]) -> dict[str, Judged]:
    """Answers after a few even readings and then the best look without a stop, one at a time.

    `confirming`: what the catalogue calls its close inspections; they are no looks at the belt.
    """
    observer, state = scene.observer, scene.states[0]
    looked = evenly(scene, START)
    found = {}
    judged, answer = ask(observer.readings_at(looked, state))
    while len(looked) < max(FOLLOWED):
        asked = _asked_for(scene, answer, looked, confirming)
        looked.append(_middle_of_widest_gap(scene, looked) if asked is None else asked)
        judged, answer = ask(observer.readings_at(looked, state))
        if len(looked) in FOLLOWED:
            found[f"{len(looked)} followed"] = judged
    return found


def evenly(scene: Scene, count: int) -> list[int]:
    """Numbers of stations nearest to even distances round the loop, each once."""
    places = np.array([at for _, _, at in scene.observer.stations])
    chosen: list[int] = []
    for wanted in (np.arange(count) + 0.5) * scene.observer.world.length_m / count:
        free = [number for number in range(len(places)) if number not in chosen]
        chosen.append(min(free, key=lambda number: abs(places[number] - wanted), default=0))
    return chosen


def _asked_for(
    scene: Scene, answer: Answer, looked: list[int], confirming: frozenset[str]
) -> int | None:
    """The unread station of the best look at the belt, None where no check asks for one."""
    numbers = {name: number for number, (name, _, _) in enumerate(scene.observer.stations)}
    looks = [one for one in answer.next_checks if _is_look(one, scene.states[0], confirming)]
    for look in sorted(looks, key=lambda one: -one.information / one.minutes):
        named = [numbers[word] for word in re.findall(r"[\w-]+", look.where) if word in numbers]
        unread = [number for number in named if number not in looked]
        if unread:
            return unread[0]
    return None


def _is_look(check: NextCheck, state: str, confirming: frozenset[str]) -> bool:
    # What it would tell apart, after a colon, may name anything.
    asked = set(re.findall(r"\w+", check.what.split(":")[0]))
    is_timed = "tap" in asked
    others = {load.value for load in LoadState} - {state}
    is_confirming = check.needs_stop or check.what in confirming
    return not is_confirming and not is_timed and not others & asked


def _middle_of_widest_gap(scene: Scene, looked: list[int]) -> int:
    length_m = scene.observer.world.length_m
    places = [at for _, _, at in scene.observer.stations]

    def apart_m(number: int) -> float:
        ways = [(places[number] - places[one]) % length_m for one in looked]
        return min(min(way, length_m - way) for way in ways)

    return max(range(len(places)), key=apart_m)
