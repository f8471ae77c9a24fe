"""One aim solved: as good as the time allows, stopped when asked."""

import math
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as NotYet
from dataclasses import dataclass
from typing import Any

from workorders.planning.outages.plan import Placement
from workorders.planning.outages.proposing.figures import Aim
from workorders.planning.outages.proposing.model import PlanModel

# More workers than cores pays: they search in different ways and tell each other.
_WORKERS = 8
_SEED = 20
_EVERY_S = 0.2


@dataclass(frozen=True)
class Progress:
    """How far it is: `best` and `bound` are None as long as there is none."""

    aim: Aim
    best: int | None
    bound: int | None


# Hears how far it is, several times a second; False stops the work.
Tick = Callable[[Progress], bool]


@dataclass(frozen=True)
class Solved:
    """`placed` is None when nothing was found in time, `bound` when nothing was proved."""

    placed: Mapping[str, Placement] | None
    bound: int | None
    is_stopped: bool


@dataclass
class _Heard:
    """Written by the threads of the solver, read by the one that asked."""

    best: int | None
    bound: int | None = None

    def hear_bound(self, bound: float) -> None:
        # All figures are whole, so that the next whole one is proved, too.
        if math.isfinite(bound):
            self.bound = math.ceil(bound - 1e-6)


def solve(
    model: PlanModel, aim: Aim, *, most_s: float, tick: Tick, best: int | None = None
) -> Solved:
    """Minimise one figure; `best` is what is known already.

    The solver works in a thread of its own, so that `tick` is called in that of the caller.
    """
    from ortools.sat.python import cp_model

    heard = _Heard(best)
    model.model.minimize(model.aims[aim])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = _WORKERS
    solver.parameters.random_seed = _SEED
    solver.parameters.max_time_in_seconds = most_s
    # Probing every Boolean takes seconds on two cores and finds next to nothing.
    solver.parameters.cp_model_probing_level = 0
    solver.best_bound_callback = heard.hear_bound
    is_stopped = False
    with ThreadPoolExecutor(max_workers=1) as pool:
        status = pool.submit(solver.solve, model.model, _listener(heard))
        try:
            while not _is_done(status):
                is_stopped = is_stopped or not tick(Progress(aim, heard.best, heard.bound))
                if is_stopped:
                    # Again and again: it may not have begun when it was asked first.
                    solver.stop_search()
        except BaseException:
            solver.stop_search()
            raise
    if status.result() not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return Solved(None, heard.bound, is_stopped)
    heard.hear_bound(solver.best_objective_bound)
    placed = model.placements(solver.value)
    return Solved(placed, heard.bound, is_stopped)


def _is_done(status: "Future[Any]") -> bool:
    try:
        status.result(timeout=_EVERY_S)
    except NotYet:
        return False
    return True


def _listener(heard: _Heard) -> Any:
    from ortools.sat.python import cp_model

    class Listener(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            heard.best = round(self.objective_value)

    return Listener()
