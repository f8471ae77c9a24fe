"""All recurrence figures of a large plant in a process of its own: time and memory."""

import json
import sys
import time

import numpy as np

from tests.bench import held

BELTS, EVENTS = 1000, 200_000


def plant(events: int = EVENTS) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Unit and time of each event, end of each belt; late cases thicken as belts age."""
    rng = np.random.default_rng(8)
    end = rng.uniform(4000, 20_000, BELTS)
    belt = rng.choice(BELTS, events, p=end / end.sum())
    return belt, end[belt] * (1 - rng.uniform(size=events)) ** (1 / 1.2), end


def all_figures(belt: np.ndarray, at: np.ndarray, end: np.ndarray) -> int:
    """Every figure of the command, then those of the pages; how many belts stand out."""
    from diagnostics.recurrence import change_points, periods, power_law, survival, trend_tests
    from diagnostics.recurrence.histories import EndedBy, histories_of
    from diagnostics.recurrence.mean_cumulative import Variance, mean_cumulative
    from diagnostics.recurrence.trend_report.answer import answer_of
    from diagnostics.recurrence.trend_report.figures import Asked, figures_of
    from diagnostics.recurrence.trend_report.watching import Watched

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
    started, busy = time.monotonic(), time.process_time()
    all_figures(*given)
    took_s, busy_s = time.monotonic() - started, time.process_time() - busy
    print(
        json.dumps({"seconds": took_s, "busy_seconds": busy_s, "peak_mb": held.most_bytes() / 1e6})
    )


if __name__ == "__main__":
    sys.exit(main())
