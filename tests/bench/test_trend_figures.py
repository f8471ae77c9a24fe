"""All recurrence figures of 1,000 belts and 200,000 events: target 2 s and 500 MB.

Nothing is asserted of seconds: machines differ. In the same run the mean cumulative function of
another package on 2,000 of the events, and ours on the same ones, with the same figures.
"""

import json
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from diagnostics.recurrence.histories import histories_of
from diagnostics.recurrence.mean_cumulative import MeanCumulative, mean_cumulative
from tests.bench.trends_alone import BELTS, EVENTS, plant

ROOT = Path(__file__).parents[2]
MOST_S, MOST_MB = 2.0, 500.0
FEW = 2000


@pytest.fixture(scope="module")
def took() -> dict[str, float]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.trends_alone"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    return json.loads(done.stdout.splitlines()[-1])


@pytest.mark.slow
def test_all_figures_of_a_large_plant_fit_in_500_mb(took: dict[str, float]):
    assert took["peak_mb"] < MOST_MB


@pytest.mark.bench
def test_what_all_figures_of_a_large_plant_take(took: dict[str, float], capsys: Any):
    from reliability.Repairable_systems import MCF_nonparametric

    # The last figure of each list is for them the end of watching.
    whole, when, end = plant()
    belt, at = whole[:FEW], when[:FEW]
    belts, index = np.unique(belt, return_inverse=True)
    ends = end[belts]
    lists = [[*at[index == one], ends[one]] for one in range(len(belts))]

    def theirs() -> Any:
        return MCF_nonparametric(lists, print_results=False, show_plot=False)

    def ours() -> MeanCumulative:
        return mean_cumulative(histories_of(index, at, end=ends))

    theirs_s, ours_s = _seconds(theirs), _seconds(ours)
    mcf, other = ours().mcf, np.array(theirs().MCF, float)
    assert mcf == pytest.approx(other, rel=1e-6)
    apart = float(np.abs(mcf / other - 1).max())

    with capsys.disabled():
        print(
            f"\n{BELTS} belts, {EVENTS} events, all figures: {took['seconds']:.2f} s, "
            f"{took['seconds'] / MOST_S:.2f} of the {MOST_S:.0f} s allowed "
            f"({took['busy_seconds']:.2f} s of computing); {took['peak_mb']:.0f} MB, "
            f"{took['peak_mb'] / MOST_MB:.2f} of {MOST_MB:.0f} MB"
            f"\nthose kept for the pages alone: {took['pages_seconds']:.2f} s, "
            f"{took['pages_seconds'] / MOST_S:.2f} of it "
            f"({took['pages_busy_seconds']:.2f} s of computing)"
            f"\nmean cumulative function of {FEW} events: reliability {theirs_s:.3f} s, here "
            f"{ours_s * 1000:.1f} ms, {theirs_s / ours_s:.0f} times as long; figures at most "
            f"{apart:.0e} apart"
        )


def _seconds(job: Callable[[], object]) -> float:
    """The best of some runs. [s]"""
    best = float("inf")
    for _ in range(5):
        started = time.process_time()
        job()
        best = min(best, time.process_time() - started)
    return best
