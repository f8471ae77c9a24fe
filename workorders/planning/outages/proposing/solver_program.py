"""The solver as a program of its own: what it asserts of itself may end it, never a worker.

A line of JSON asks: `model` (text format), `seconds`, `workers`, `seed`. Lines answer: `best` and
`bound` as they get better, at last `solution` (null: none) with the last `bound`. A line `stop`
ends the search with what is there; the end of the input ends the program. Run by file, so it
imports nothing of ours.
"""

import json
import os
import sys
import threading
from queue import SimpleQueue
from typing import Any

from ortools.sat.python import cp_model

_told = threading.Lock()


def _tell(**words: Any) -> None:
    with _told:
        sys.stdout.write(json.dumps(words) + "\n")
        sys.stdout.flush()


def _finite(bound: float) -> float | None:
    return bound if abs(bound) < float("inf") else None


class _Listener(cp_model.CpSolverSolutionCallback):
    def on_solution_callback(self) -> None:
        _tell(best=self.objective_value)


def _solve(asked: dict[str, Any], orders: "SimpleQueue[str]") -> None:
    model, solver = cp_model.CpModel(), cp_model.CpSolver()
    model.proto.parse_text_format(asked["model"])
    solver.parameters.num_workers = asked["workers"]
    solver.parameters.random_seed = asked["seed"]
    solver.parameters.max_time_in_seconds = asked["seconds"]
    # Probing every Boolean takes seconds on two cores and finds next to nothing.
    solver.parameters.cp_model_probing_level = 0
    solver.best_bound_callback = lambda bound: _tell(bound=_finite(bound))
    done = threading.Event()
    stopping = threading.Thread(target=_stop_when_told, args=(solver, orders, done))
    stopping.start()
    try:
        status = solver.solve(model, _Listener())
    finally:
        done.set()
        orders.put("")
        stopping.join()
    is_found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    solution = list(solver.response_proto.solution) if is_found else None
    bound = _finite(solver.best_objective_bound) if is_found else None
    _tell(solution=solution, bound=bound)


def _stop_when_told(
    solver: cp_model.CpSolver, orders: "SimpleQueue[str]", done: threading.Event
) -> None:
    if orders.get() != "stop":
        return
    # Again and again: it may not have begun when it was asked first.
    while not done.wait(0.1):
        solver.stop_search()
    orders.get()


def _listen(questions: "SimpleQueue[dict[str, Any]]", orders: "SimpleQueue[str]") -> None:
    for line in sys.stdin:
        if line == "stop\n":
            orders.put("stop")
        # A line without an end was cut short with whoever wrote it.
        elif line.endswith("\n"):
            questions.put(json.loads(line))
    # Whoever asked is gone, however busy the search is.
    os._exit(0)


def main() -> None:
    questions: SimpleQueue[dict[str, Any]] = SimpleQueue()
    orders: SimpleQueue[str] = SimpleQueue()
    threading.Thread(target=_listen, args=(questions, orders), daemon=True).start()
    while True:
        asked = questions.get()
        while not orders.empty():
            orders.get()
        _solve(asked, orders)


if __name__ == "__main__":
    main()
