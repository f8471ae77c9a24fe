"""All recurrence figures of a large plant in a process of its own: time and memory."""

import json
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from tests.bench import held

BELTS, EVENTS = 1000, 200_000


def plant(events: int = EVENTS) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Unit and time of each event, end of each belt; late cases thicken as belts age."""
    rng = np.random.default_rng(8)
    end = rng.uniform(4000, 20_000, BELTS)
    belt = rng.choice(BELTS, events, p=end / end.sum())
    return belt, end[belt] * (1 - rng.uniform(size=events)) ** (1 / 1.2), end


def faults_of_all(belt: np.ndarray, at: np.ndarray, end: np.ndarray) -> Any:
    """What is kept of a plant and each of its belts, written down as it is kept."""
    from diagnostics.recurrence.faults.given import Events, Watch
    from diagnostics.recurrence.faults.reckoning import Words, reckon

    rng = np.random.default_rng(9)
    size = len(at)
    events = Events(
        belt=belt,
        time=at,
        at=at,
        stretch=rng.integers(0, 18, size),
        is_repeat=rng.uniform(size=size) < 0.2,
        lost_hours=np.where(rng.uniform(size=size) < 0.5, np.nan, rng.exponential(3, size)),
        family=rng.integers(-1, 10, size),
        zone=rng.integers(-1, 9, size),
    )
    words = Words(
        [f"family {number}" for number in range(10)],
        [f"zone {number}" for number in range(9)],
        [f"month {number}" for number in range(18)],
        "2026-01-01",
    )
    found = reckon(events, Watch(np.zeros(len(end)), end), words, rate_per=1000.0)
    assert json.dumps(found.plant.as_json(), allow_nan=False)
    return found


def all_figures(belt: np.ndarray, at: np.ndarray, end: np.ndarray) -> int:
    """Every figure of the pages, then those of the command; how many belts stand out."""
    from diagnostics.recurrence import change_points, periods, power_law, survival, trend_tests
    from diagnostics.recurrence.histories import EndedBy, histories_of
    from diagnostics.recurrence.mean_cumulative import Variance, mean_cumulative
    from diagnostics.recurrence.trend_report.answer import answer_of
    from diagnostics.recurrence.trend_report.figures import Asked, figures_of
    from diagnostics.recurrence.trend_report.watching import Watched

    faults = faults_of_all(belt, at, end)
    assert len(faults.belts.shrunk) == len(end)
    histories = histories_of(belt, at, end=end)
    names = tuple(f"CV-{number}" for number in range(len(end)))
    figures = figures_of(Watched(names, histories, EndedBy.TIME, ()), Asked())
    mean_cumulative(histories, variance=Variance.POISSON)
    trend_tests.laplace_each(histories)
    power_law.shape_each(histories)
    half = end / 2
    later = np.bincount(belt[at > half[belt]], minlength=len(end))
    periods.compare_periods(histories.counts - later, half, later, half)
    order = np.lexsort((at, belt))
    same = belt[order][1:] == belt[order][:-1]
    held = np.maximum(np.diff(at[order])[same], 1e-6)
    survival.kaplan_meier(held, np.ones(len(held), bool))
    fixes = (np.arange(len(held)) % 5).tolist()
    survival.compare_groups(held, np.ones(len(held), bool), fixes)
    change_points.find_change(histories)
    assert len(answer_of(figures)["rates"]) == len(end)
    return int((figures.trend_each < 0.1).sum())


def main() -> None:
    given = plant()
    # Import is no part of a figure: a small plant first.
    small = given[0] < 5
    all_figures(given[0][small], given[1][small], given[2][:5])
    # Those of the pages are among all figures, too.
    pages_s, pages_busy_s = _took(lambda: faults_of_all(*given))
    took_s, busy_s = _took(lambda: all_figures(*given))
    told = {
        "pages_seconds": pages_s,
        "pages_busy_seconds": pages_busy_s,
        "seconds": took_s,
        "busy_seconds": busy_s,
        "peak_mb": held.most_bytes() / 1e6,
    }
    print(json.dumps(told))


def _took(job: Callable[[], object]) -> tuple[float, float]:
    """Time on the wall and of computing: other work on the machine is in the first alone. [s]"""
    started, busy = time.monotonic(), time.process_time()
    job()
    return time.monotonic() - started, time.process_time() - busy


if __name__ == "__main__":
    sys.exit(main())
