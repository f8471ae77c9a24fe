"""Conveyors of any number of idlers, and what it takes to think about them.

Figures are read as ratios: to the target, to another size, to another way of solving the same;
seconds of one machine say nothing on the next.
"""

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from diagnostics.inference import fault_families
from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import BeltFacts, ConveyorFacts, Evidence
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.readings import readings_of
from diagnostics.inference.vocabulary import LoadState
from diagnostics.mechanics.influence import Family
from diagnostics.mechanics.lateral import BANDS, LateralModel
from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.path import build_loop
from plant.loop.vocabulary import TakeUpKind
from tests.bench import held
from tests.diagnostics import belts

ROOT = Path(__file__).parents[2]
USUAL_SPACINGS_M = (1.2, 3.0)
OVERLAND_SPACINGS_M = (2.0, 4.0)


def conveyor_of(idlers: int, spacings_m: tuple[float, float] = USUAL_SPACINGS_M) -> ConveyorFacts:
    """A conveyor with about so many idler sets, nothing of it kept from before."""
    carrying_m, return_m = spacings_m
    centre_m = idlers / (1 / carrying_m + 1 / return_m)
    figures = LayoutFigures(
        centre_m,
        800,
        630,
        carrying_spacing_m=carrying_m,
        return_spacing_m=return_m,
        take_up=TakeUpKind.GRAVITY,
        take_up_after_head_m=min(40.0, centre_m / 4),
    )
    loop = build_loop(lay_out(figures))
    return ConveyorFacts(
        tag="B1",
        loop=loop,
        belt=BeltFacts(1200, loop.length_m, "ST", strength_n_mm=2000),
        speed_mps=5.0,
        clearance_mm=120,
        centre_distance_m=centre_m,
        lift_m=min(20.0, centre_m / 20),
        capacity_tph=2500,
        take_up_tension_kn=120,
    )


def case_of(conveyor: ConveyorFacts, sightings: int) -> Evidence:
    """A walk along the whole belt, off centre along one stretch, half of it seen empty."""
    onset_m = 0.4 * conveyor.loop.head_m
    both = (LoadState.LOADED, LoadState.EMPTY)
    seen = belts.walk(conveyor, onset_m, loads=both, about=max(sightings // 2, 8))
    return belts.evidence(conveyor, seen)


def mechanics_of(evidence: Evidence) -> list[Family]:
    """What `diagnose` asks of the mechanics for one case."""
    looks = readings_of(evidence).looks
    models = models_of(evidence.conveyor, sorted(set(looks.load)))
    return FaultFamilies(evidence.conveyor, models, looks.position_m, looks.load).families()


def think(evidence: Evidence) -> None:
    """The whole of one diagnosis."""
    diagnose(evidence, belts.knowledge())


def seconds_cold(job: Callable[[Evidence], object], idlers: int, sightings: int) -> float:
    """The best of five runs of a job on a conveyor never seen before. [s]"""
    best = float("inf")
    for _ in range(5):
        one = case_of(conveyor_of(idlers, OVERLAND_SPACINGS_M), sightings)
        fault_families.forget()
        started = time.process_time()
        job(one)
        best = min(best, time.process_time() - started)
    return best


@dataclass(frozen=True)
class Growth:
    """How cost grows with size: a straight line through the figures, and how well it lies.

    Attributes
    ----------
    fixed_s, per_idler_s : float
        Cost of no idler at all, and of each one. [s]
    r_squared : float
        Share of the differences between sizes that the line explains.
    power : float
        Slope of log cost over log size at the upper half of the sizes; 1 is linear.
    """

    fixed_s: float
    per_idler_s: float
    r_squared: float
    power: float


def growth_of(sizes: list[int], costs_s: list[float]) -> Growth:
    size, cost = np.array(sizes, dtype=float), np.array(costs_s)
    slope, fixed = np.polyfit(size, cost, 1)
    left = cost - (fixed + slope * size)
    upper = slice(len(sizes) // 2, None)
    power = np.polyfit(np.log(size[upper]), np.log(cost[upper]), 1)[0]
    spread = float(np.sum((cost - cost.mean()) ** 2))
    return Growth(float(fixed), float(slope), 1 - float(np.sum(left**2)) / spread, float(power))


def loaded_model(conveyor: ConveyorFacts) -> LateralModel:
    """A model that is not kept and has nothing computed yet."""
    fault_families.forget()
    return models_of(conveyor, [LoadState.LOADED])[LoadState.LOADED]


def dense_matrix(model: LateralModel) -> np.ndarray:
    """The same system as a full matrix, the closing of the loop included."""
    dense = np.zeros((model.size, model.size))
    bands, tail = model._bands, 2 * model.line.nodes.pulleys[-1].node_in
    for offset in range(-BANDS, BANDS + 1):
        columns = np.arange(max(0, -offset), min(model.size, model.size - offset))
        dense[columns + offset, columns] = bands[BANDS + offset, columns]
    dense[0, tail] -= 1.0
    return dense


def factored_anew(model: LateralModel, forcing: np.ndarray) -> np.ndarray:
    """One solution of an assembled model, its matrix taken apart for it as a dense one is."""
    for name in ("_factors", "_once_round", "_felt_at_tail", "loop_gain", "_left"):
        model.__dict__.pop(name, None)
    return model.solve(forcing)


def seconds(job: Callable[[], object], *, rounds: int = 5) -> float:
    """The best of some runs. [s]"""
    best = float("inf")
    for _ in range(rounds):
        started = time.process_time()
        job()
        best = min(best, time.process_time() - started)
    return best


@dataclass(frozen=True)
class Peak:
    """One case in a process of its own: most memory over that of the bare engine, and time."""

    mebibytes: float
    seconds: float


def peak_of(idlers: int, sightings: int) -> Peak:
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.measuring", str(idlers), str(sightings)],
        cwd=ROOT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "plant.config.settings"},
        capture_output=True,
        text=True,
        check=True,
    )
    return Peak(**json.loads(done.stdout.splitlines()[-1]))


def _alone(idlers: int, sightings: int) -> Peak:
    one = case_of(conveyor_of(idlers, OVERLAND_SPACINGS_M), sightings)
    belts.knowledge()
    started = time.process_time()
    think(one)
    took_s = time.process_time() - started
    # The whole process, interpreter and libraries with it.
    return Peak(held.most_bytes() / 2**20, took_s)


if __name__ == "__main__":
    found = _alone(int(sys.argv[1]), int(sys.argv[2]))
    print(json.dumps({"mebibytes": found.mebibytes, "seconds": found.seconds}))
