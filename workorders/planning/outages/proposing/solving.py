"""One aim solved: as good as the time allows, stopped when asked."""

import logging
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from workorders.planning.outages.plan import Placement
from workorders.planning.outages.proposing import solver_process
from workorders.planning.outages.proposing.figures import Aim
from workorders.planning.outages.proposing.model import PlanModel
from workorders.planning.outages.proposing.solver_process import SolverDied

logger = logging.getLogger(__name__)

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
    """What the solver has said so far."""

    best: int | None
    bound: int | None = None
    solution: list[int] | None = None

    def hear(self, said: Mapping[str, Any]) -> None:
        if said.get("best") is not None:
            self.best = round(said["best"])
        if said.get("bound") is not None:
            # All figures are whole, so that the next whole one is proved, too.
            self.bound = math.ceil(said["bound"] - 1e-6)
        self.solution = said.get("solution")


def solve(
    model: PlanModel, aim: Aim, *, most_s: float, tick: Tick, best: int | None = None
) -> Solved:
    """Minimise one figure; `best` is what is known already.

    The solver works in a program of its own. When that comes to grief nothing was found: what is
    known already stands, and the log says so.
    """
    heard, is_stopped = _Heard(best), False

    def goes_on() -> bool:
        nonlocal is_stopped
        is_stopped = is_stopped or not tick(Progress(aim, heard.best, heard.bound))
        return not is_stopped

    model.model.minimize(model.aims[aim])
    question = {
        "model": str(model.model.proto),
        "seconds": most_s,
        "workers": _WORKERS,
        "seed": _SEED,
    }
    try:
        solver_process.ask(question, heard.hear, goes_on, _EVERY_S)
    except SolverDied as died:
        logger.error("The solver ended by itself while it worked at %s: %s.", aim.value, died)
        return Solved(None, heard.bound, is_stopped)
    solution = heard.solution
    placed = None if solution is None else model.placements(lambda var: solution[var.index])
    return Solved(placed, heard.bound, is_stopped)
