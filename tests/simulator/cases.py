"""Cases: faults put into a true world, walked down by an observer who errs."""

from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass

import numpy as np

from tests.simulator.belt import World, steady_offsets
from tests.simulator.conveyors import random_conveyor
from tests.simulator.faults import (
    CAUSES,
    CLASS_CAUSES,
    Useless,
    put_belt_defect,
    put_fixed_fault,
)
from tests.simulator.observer import Observer, shape_at
from tests.simulator.world import true_world

LEAST_PEAK_M, LARGEST_PEAK_M = 0.03, 0.2
BELT_CLASSES = ("belt_section", "belt_splice")
FIXED_CLASSES = tuple(name for name in sorted(CLASS_CAUSES) if name not in BELT_CLASSES)
# Of two causes at once, how often one travels with the belt.
TRAVELS_SHARE = 0.3


@dataclass
class Scene:
    """A conveyor that mistracks, with whoever can be sent to look at it."""

    number: int
    conveyor: dict
    states: list[str]
    truth: list[dict]
    observer: Observer

    def walked_down(self, *, prefix: str = "N") -> dict:
        """The case of one walk along the whole belt, sometimes with a timed look."""
        case = self.case_of(self.observer.walk(self.states), prefix=prefix)
        if self.observer.rng.random() < 0.4:
            case["belt_watch"] = self.observer.watch(self.states[0])
        return case

    def case_of(self, readings: list[dict], *, prefix: str = "N") -> dict:
        return {
            "id": f"{prefix}-{self.number:04d}",
            "conveyor": self.conveyor,
            "walk_down": readings,
            "truth": self.truth,
        }


def simulate(rng: np.random.Generator, number: int, *, misalignment_deg: float = 0.2) -> dict:
    """One case with its truth; draws again until the fault is worth a complaint."""
    return one_cause(rng, number, misalignment_deg=misalignment_deg).walked_down()


def simulate_two(rng: np.random.Generator, number: int, *, misalignment_deg: float = 0.2) -> dict:
    """One case of two causes at once: classes that differ, each alone worth a complaint.

    Both stay in place, or the second travels with the belt.
    """
    return two_causes(rng, number, misalignment_deg=misalignment_deg).walked_down(prefix="T")


def one_cause(rng: np.random.Generator, number: int, *, misalignment_deg: float = 0.2) -> Scene:
    cause_class = str(rng.choice(sorted(CLASS_CAUSES)))
    return _until_useful(
        lambda: _one_cause(rng, number, cause_class, misalignment_deg=misalignment_deg)
    )


def two_causes(rng: np.random.Generator, number: int, *, misalignment_deg: float = 0.2) -> Scene:
    first, second = (str(name) for name in rng.choice(FIXED_CLASSES, 2, replace=False))
    if rng.random() < TRAVELS_SHARE:
        second = str(rng.choice(BELT_CLASSES))
    return _until_useful(
        lambda: _two_causes(rng, number, (first, second), misalignment_deg=misalignment_deg)
    )


def _until_useful(draw: Callable[[], Scene]) -> Scene:
    while True:
        try:
            return draw()
        except Useless:
            continue


def _one_cause(rng, number, cause_class, *, misalignment_deg) -> Scene:
    conveyor = random_conveyor(rng, f"N{number:03d}")
    cause = _cause_of(rng, cause_class)
    states = _states(rng, [cause])
    world = true_world(conveyor, rng, misalignment_deg=misalignment_deg)
    base = _offsets(world, states)
    truth, moving = _put(rng, world, conveyor, cause, cause_class)
    offsets = base if moving else _offsets(world, states)
    _judge(truth, _peak_m(world, base, offsets, moving))
    observer = Observer(rng, conveyor, world, offsets, moving)
    return Scene(number, conveyor, states, [truth], observer)


def _two_causes(rng, number, classes, *, misalignment_deg) -> Scene:
    conveyor = random_conveyor(rng, f"T{number:03d}")
    causes = [_cause_of(rng, name) for name in classes]
    states = _states(rng, causes)
    world = true_world(conveyor, rng, misalignment_deg=misalignment_deg)
    base = _offsets(world, states)
    both, truths, moving = deepcopy(world), [], None
    for cause, cause_class in zip(causes, classes, strict=True):
        # The same draws put the fault into a world of its own, and beside the other.
        seed = int(rng.integers(2**62))
        alone = deepcopy(world)
        truth, travels = _put(np.random.default_rng(seed), alone, conveyor, cause, cause_class)
        offsets = base if travels else _offsets(alone, states)
        _judge(truth, _peak_m(alone, base, offsets, travels))
        _put(np.random.default_rng(seed), both, conveyor, cause, cause_class)
        truths.append(truth)
        moving = moving or travels
    observer = Observer(rng, conveyor, both, _offsets(both, states), moving)
    return Scene(number, conveyor, states, truths, observer)


def _cause_of(rng: np.random.Generator, cause_class: str) -> str:
    options = CLASS_CAUSES[cause_class]
    weights = np.array([w for _, w in options])
    return str(rng.choice([c for c, _ in options], p=weights / weights.sum()))


def _states(rng: np.random.Generator, causes: list[str]) -> list[str]:
    states = (
        ["loaded", "empty"]
        if rng.random() < 0.25
        else ["loaded" if rng.random() < 0.7 else "empty"]
    )
    if "off_centre_loading" in causes:
        states = sorted({"loaded", *states}, reverse=True)
    return states


def _offsets(world: World, states: list[str]) -> dict:
    return {state: steady_offsets(world, loaded=state == "loaded") for state in states}


def _put(rng, world, conveyor, cause, cause_class) -> tuple[dict, dict | None]:
    """Draw size and place of a fault; its truth, and its shape when it travels."""
    unit, (low, high) = CAUSES[cause][1:]
    size = float(np.exp(rng.uniform(np.log(low), np.log(high))))
    sign = int(rng.choice([-1, 1]))
    truth = {
        "cause": cause,
        "class": cause_class,
        "size": size,
        "size_unit": unit,
        "side": "right" if sign > 0 else "left",
    }
    if cause_class in BELT_CLASSES:
        return truth, put_belt_defect(rng, conveyor, cause, size, sign, truth)
    put_fixed_fault(rng, world, conveyor, cause, size, sign, truth)
    return truth, None


def _peak_m(world, base: dict, offsets: dict, moving: dict | None) -> float:
    if moving is None:
        return max(float(np.abs(offsets[one][1] - base[one][1]).max()) for one in base)
    return max(
        float(np.abs(shape_at(world, moving, s_at, state == "loaded")[1]).max())
        for state in base
        for s_at in np.linspace(5, world.length_m - 5, 5)
    )


def _judge(truth: dict, peak_m: float) -> None:
    if not LEAST_PEAK_M < peak_m < LARGEST_PEAK_M:
        raise Useless
    truth["peak_effect_mm"] = round(peak_m * 1000)
