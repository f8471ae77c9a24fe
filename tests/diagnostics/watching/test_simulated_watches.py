"""Timed looks of the simulator's observer: found, placed, and no surer than they are right."""

import math
from dataclasses import dataclass

import numpy as np
import pytest

from diagnostics.inference.case_file.fields import Field
from diagnostics.inference.case_file.looks import read_timed_looks
from diagnostics.inference.timed_look import Travel, read_timed_look
from plant.loop.path import Loop
from tests.simulator.conveyors import random_conveyor
from tests.simulator.faults import put_belt_defect
from tests.simulator.observer import Observer, shape_at
from tests.simulator.world import true_world

WATCHES = 160
LEAST_PEAK_M = 0.03
SIZES = {"crooked_splice": (0.3, 2.2), "one_sided_belt_damage": (0.3, 2.5)}


@dataclass(frozen=True)
class Seen:
    travel: Travel
    at_m: float | None
    length_m: float

    @property
    def error_m(self) -> float | None:
        if self.at_m is None or self.travel.belt_position_m is None:
            return None
        way = (self.travel.belt_position_m - self.at_m) % self.length_m
        return min(way, self.length_m - way)


@pytest.fixture(scope="module")
def seen() -> list[Seen]:
    rng = np.random.default_rng(20261126)
    found: list[Seen] = []
    while len(found) < WATCHES:
        one = _watch(rng, travels=len(found) % 2 == 0)
        if one is not None and not one.travel.is_too_short:
            found.append(one)
    return found


def _watch(rng: np.random.Generator, *, travels: bool) -> Seen | None:
    conveyor = random_conveyor(rng, "N1")
    world = true_world(conveyor, rng)
    moving = _defect(rng, conveyor) if travels else None
    at_m = np.linspace(0, world.length_m, 200)
    runs_m = np.interp(at_m, np.linspace(0, world.length_m, 12), rng.normal(0, 0.015, 12))
    observer = Observer(rng, conveyor, world, {"loaded": (at_m, runs_m)}, moving)
    watch = observer.watch("loaded")
    if moving is not None:
        _x, shape = shape_at(world, moving, watch["position_m"], True)
        # A station where the defect hardly moves the belt is no place to watch it.
        if np.abs(shape).max() < LEAST_PEAK_M:
            return None
    loop = Loop((), world.length_m, world.head_m, world.pulleys[-1].at_m)
    (look,) = read_timed_looks(Field(watch, "watch"), loop)
    travel = read_timed_look(look, world.length_m, conveyor["speed_m_s"])
    return Seen(travel, None if moving is None else moving["at"], world.length_m)


def _defect(rng: np.random.Generator, conveyor: dict) -> dict:
    cause = str(rng.choice(list(SIZES)))
    low, high = SIZES[cause]
    size = float(np.exp(rng.uniform(math.log(low), math.log(high))))
    return put_belt_defect(rng, conveyor, cause, size, int(rng.choice([-1, 1])), {})


def test_most_of_what_travels_is_found_and_hardly_anything_else(seen):
    travels = np.array([one.at_m is not None for one in seen])
    ratios = np.array([one.travel.log_ratio for one in seen])

    assert np.mean(ratios[travels] > 0) > 0.85
    assert np.mean(ratios[~travels] > 0) < 0.05


def test_the_ratio_is_no_surer_than_it_is_right(seen):
    said = np.array([1 / (1 + math.exp(-one.travel.log_ratio)) for one in seen])
    is_so = np.array([one.at_m is not None for one in seen])

    assert np.mean(np.log(np.where(is_so, said, 1 - said))) > -0.3
    sure, unlikely = said > 0.7, said < 0.3
    assert np.mean(is_so[sure]) > np.mean(said[sure]) - 0.05
    assert np.mean(is_so[unlikely]) < np.mean(said[unlikely]) + 0.05


def test_places_lie_within_what_is_stated(seen):
    errors = [(one.error_m, one.travel.spread_m) for one in seen if one.error_m is not None]

    assert len(errors) > 50
    assert np.median([error for error, _spread in errors]) < 1.5
    assert np.mean([error < 2 * spread for error, spread in errors]) > 0.9
