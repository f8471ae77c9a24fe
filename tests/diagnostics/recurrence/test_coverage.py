"""Do intervals cover what they claim? 2,000 simulated plants each, nominal 90 %: 86 to 94 %.

How many events or units each is claimed for stands in its name. Exact intervals are summed over
all counts instead, and cover at least 90 %. `pytest -m slow -s` prints the shares.
"""

from collections.abc import Callable, Iterator

import numpy as np
import pytest
from scipy.stats import poisson

from diagnostics.recurrence.beside_others import Counted, compare_with_others
from diagnostics.recurrence.change_points import find_change
from diagnostics.recurrence.histories import EndedBy, from_lists, histories_of
from diagnostics.recurrence.holding import median_of, share_at
from diagnostics.recurrence.mean_cumulative import Variance, mean_cumulative
from diagnostics.recurrence.periods import compare_periods
from diagnostics.recurrence.power_law import PowerLaw, fit_power_law, shape_each
from diagnostics.recurrence.rates import poisson_limits, shrunk_rates
from diagnostics.recurrence.survival import kaplan_meier
from tests.diagnostics.recurrence.plants import events_of, reckoned
from tests.diagnostics.recurrence.processes import constant_units, power_law_units

RUNS, LEVEL = 2000, 0.90
ALIKE, UNLIKE = [100.0] * 4, [100.0, 70.0, 40.0, 20.0, 90.0, 55.0]
LATE = [0.0, 40.0, 5.0, 0.0, 60.0, 0.0]

Inside = Iterator[bool]


def assert_covers(name: str, inside: Inside) -> None:
    share = float(np.mean(list(inside)))
    print(f"\n{name}: {share:.3f} of nominal {LEVEL:.2f}")
    assert 0.86 <= share <= 0.94


def fits(
    shape: float, expected: float, end: list[float], entry: list[float] | None = None
) -> Iterator[tuple[float, PowerLaw]]:
    """Scale and fit of simulated plants with at least two events."""
    rng = np.random.default_rng(11)
    for _ in range(RUNS):
        scale, histories = power_law_units(rng, shape, expected, end, entry)
        if histories.events > 1:
            yield scale, fit_power_law(histories, level=LEVEL)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("units", "end", "entry"),
    [("1 unit", [100.0], None), ("4 alike", ALIKE, None), ("6 unlike", UNLIKE, None),
     ("6 staggered", UNLIKE[:1] + [100.0] * 5, LATE)],
    ids=lambda one: one if isinstance(one, str) else "",
)  # fmt: skip
def test_shape_and_mean_time_of_a_power_law_cover_from_20_events_on(units, end, entry):
    shape = 0.7
    found = list(fits(shape, 20, end, entry))

    assert_covers(
        f"shape, {units}", (fit.shape_lower <= shape <= fit.shape_upper for _, fit in found)
    )
    last = max(end)
    assert_covers(
        f"mean time between events, {units}",
        (fit.mtbf_lower <= last ** (1 - shape) / (scale * shape) <= fit.mtbf_upper
         for scale, fit in found),
    )  # fmt: skip


@pytest.mark.slow
def test_shape_covers_from_5_events_on_also_where_spans_differ():
    found = fits(1.5, 5, UNLIKE)

    assert_covers(
        "shape, 5 events", (fit.shape_lower <= 1.5 <= fit.shape_upper for _, fit in found)
    )


@pytest.mark.slow
def test_a_power_law_ended_by_failure_covers_from_5_events_on():
    rng = np.random.default_rng(12)

    def one() -> tuple[bool, bool]:
        times = np.cumsum(rng.exponential(size=5)) ** (1 / 1.3)
        histories = from_lists([times], end=[times[-1]])
        fit = fit_power_law(histories, level=LEVEL, ended_by=EndedBy.FAILURE)
        mean = times[-1] ** -0.3 / 1.3
        return fit.shape_lower <= 1.3 <= fit.shape_upper, fit.mtbf_lower <= mean <= fit.mtbf_upper

    inside = [one() for _ in range(RUNS)]
    assert_covers("shape, by failure", (shape for shape, _ in inside))
    assert_covers("mean time between events, by failure", (mean for _, mean in inside))


@pytest.mark.slow
def test_shapes_of_2000_belts_with_8_events_each_cover():
    rng = np.random.default_rng(13)
    # Given their number, ages of a power law are independent: u^(1 / b) of the span.
    times = rng.uniform(size=(RUNS, 8)) ** (1 / 0.7) * 100

    each = shape_each(from_lists(times.tolist(), end=[100.0] * RUNS), level=LEVEL)

    assert_covers("shape of each belt", iter((each.lower <= 0.7) & (each.upper >= 0.7)))


def courses(units: int, spread: float, variance: Variance) -> Inside:
    """Mean cumulative function half way, units watched unequally and differing in rate."""
    rng, expected = np.random.default_rng(14), 3.0
    for _ in range(RUNS):
        ends = np.append(rng.uniform(0.4, 1.0, units - 1), 1.0)
        own = rng.gamma(1 / spread, spread, units) if spread else np.ones(units)
        found = mean_cumulative(
            constant_units(rng, expected * own, ends), level=LEVEL, variance=variance
        )
        step = np.searchsorted(found.time, 0.5, "right") - 1
        if step >= 0:
            yield bool(found.lower[step] <= expected / 2 <= found.upper[step])


@pytest.mark.slow
@pytest.mark.parametrize("spread", [0.0, 0.5])
def test_robust_limits_of_the_mean_cumulative_function_cover_from_20_units_on(spread):
    assert_covers(f"robust, spread {spread}", courses(20, spread, Variance.ROBUST))


@pytest.mark.slow
def test_robust_limits_cover_from_30_units_on_where_half_join_late_and_most_leave_early():
    rng, expected = np.random.default_rng(19), 3.0

    def plants() -> Iterator[bool]:
        for _ in range(RUNS):
            entry = rng.uniform(0, 0.4, 30) * (rng.uniform(size=30) < 0.5)
            end = np.append(rng.uniform(0.6, 1.0, 29), 1.0)
            rate = expected * rng.gamma(2, 0.5, 30)
            unit = np.repeat(np.arange(30), rng.poisson(rate * (end - entry)))
            time = end[unit] - (end - entry)[unit] * rng.uniform(size=len(unit))
            found = mean_cumulative(histories_of(unit, time, end=end, entry=entry), level=LEVEL)
            step = np.searchsorted(found.time, 0.8, "right") - 1
            yield bool(found.lower[step] <= expected * 0.8 <= found.upper[step])

    assert_covers("robust, 30 units that come and go", plants())


@pytest.mark.slow
def test_poisson_limits_of_the_mean_cumulative_function_cover_if_events_are_independent():
    assert_covers("Poisson, 10 units", courses(10, 0.0, Variance.POISSON))


@pytest.mark.slow
def test_fair_rates_cover_from_30_units_on():
    rng = np.random.default_rng(15)

    def plants() -> Iterator[bool]:
        for _ in range(RUNS):
            hours, true = rng.uniform(500, 2000, 30), rng.gamma(2, 0.002, 30)
            found = shrunk_rates(rng.poisson(true * hours), hours, level=LEVEL)
            yield from (found.lower <= true) & (true <= found.upper)

    assert_covers("rates, 30 units", plants())


@pytest.mark.slow
def test_a_belt_held_worse_with_some_probability_is_so_that_often():
    rng = np.random.default_rng(20)
    said, true = [], []
    for _ in range(RUNS):
        hours, rate = rng.uniform(500, 2000, 30), rng.gamma(2, 0.002, 30)
        found = shrunk_rates(rng.poisson(rate * hours), hours, factor=1.5)
        said += found.probability_worse.tolist()
        true += (rate > found.threshold).tolist()
    probability, is_worse = np.array(said), np.array(true)

    known = np.isfinite(probability)
    for low in np.arange(0, 1, 0.2):
        among = known & (probability >= low) & (probability < low + 0.2)
        share, mean = is_worse[among].mean(), probability[among].mean()
        print(f"\nworse with {mean:.2f}: {share:.2f} of {among.sum()} were")
        assert share == pytest.approx(mean, abs=0.06)


@pytest.mark.slow
def test_of_trends_found_among_many_belts_at_most_the_agreed_share_is_false():
    rng, false_share = np.random.default_rng(21), 0.10
    # A fifth of the belts get worse; 12 cases each.
    shapes = np.where(np.arange(100) < 20, 3.0, 1.0)
    shares = []
    for _ in range(RUNS // 4):
        belts = np.repeat(np.arange(100), 12)
        times = 100 * (1 - rng.uniform(size=1200)) ** (1 / shapes[belts])
        found = reckoned(events_of(belts, times), [100.0] * 100).belts.trend != 0
        shares.append(found[20:].sum() / max(found.sum(), 1))
    mean = float(np.mean(shares))

    print(f"\nfalse among the trends found: {mean:.3f} of {false_share:.2f} agreed")
    # Benjamini and Hochberg: at most the share times that of the belts without a trend.
    assert mean <= false_share * 0.8 + 0.01


@pytest.mark.slow
def test_survival_covers_from_30_fixes_on():
    rng, true = np.random.default_rng(16), np.exp(-(0.7**1.5))

    def plants() -> Iterator[bool]:
        for _ in range(RUNS):
            held, watched = rng.weibull(1.5, 30), rng.uniform(0.5, 2, 30)
            found = kaplan_meier(np.minimum(held, watched), held <= watched, level=LEVEL)
            step = np.searchsorted(found.time, 0.7, "right") - 1
            if step >= 0:
                yield bool(found.lower[step] <= true <= found.upper[step])

    assert_covers("survival, 30 fixes", plants())


@pytest.mark.slow
def test_the_median_covers_from_40_fixes_on():
    # Weibull of shape 1.5: half have come back at (ln 2)^(1 / 1.5).
    rng, true = np.random.default_rng(18), np.log(2) ** (1 / 1.5)

    def plants() -> Iterator[bool]:
        for _ in range(RUNS):
            held, watched = rng.weibull(1.5, 40), rng.uniform(0.5, 3, 40)
            course = kaplan_meier(np.minimum(held, watched), held <= watched, level=LEVEL)
            found = median_of(course)
            if found is not None:
                above = found.upper is None or true <= found.upper
                yield (found.lower or 0.0) <= true and above

    assert_covers("median, 40 fixes", plants())


def test_of_fixes_that_all_held_the_limit_covers_at_least_what_it_claims():
    # Ten fixes watched to the mark: where all held, the true share lies above the limit unless a
    # share below it showed ten of ten, and that has at most half of the 10 % left over.
    held = [2.0] * 10
    found = share_at(held, kaplan_meier(held, [False] * 10, level=LEVEL), 1.0, LEVEL)

    assert found is not None
    assert found.lower is not None
    assert found.lower**10 <= (1 - LEVEL) / 2 + 1e-12


@pytest.mark.slow
@pytest.mark.parametrize("ratio", [0.4, 1.0])
def test_limits_beside_other_belts_cover_at_least_what_they_claim(ratio):
    # A campaign on belts with 12 cases a year, others with 30; all got worse by 1.3 meanwhile.
    rng = np.random.default_rng(19)
    inside, compared = 0, 0
    for _ in range(RUNS):
        counts = rng.poisson([12, 12 * 0.5 * 1.3 * ratio, 30, 30 * 0.8 * 1.3])
        chosen = Counted(int(counts[0]), 1.0, int(counts[1]), 0.5)
        found = compare_with_others(chosen, Counted(int(counts[2]), 1.0, int(counts[3]), 0.8))
        if found is not None:
            compared += 1
            inside += bool(found.lower <= ratio <= found.upper)

    print(f"\nbeside others, ratio {ratio}: {inside / compared:.3f} of at least {LEVEL:.2f}")
    # Three standard errors of the simulation are 0.02.
    assert compared > RUNS * 0.99
    assert inside / compared >= LEVEL - 0.02


@pytest.mark.slow
def test_the_time_of_a_threefold_change_covers_from_80_events_on():
    rng = np.random.default_rng(17)

    def plants() -> Iterator[bool]:
        for _ in range(RUNS):
            at = rng.uniform(0.2, 0.8)
            before, after = rng.poisson(120 * at), rng.poisson(40 * (1 - at))
            times = np.append(at * rng.uniform(size=before), 1 - (1 - at) * rng.uniform(size=after))
            found = find_change(from_lists([times], end=[1.0]), level=LEVEL, since=0.2, until=0.8)
            yield found.lower <= at <= found.upper

    assert_covers("time of a change, 80 events", plants())


def coverage(
    limits: Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]], mean: float, true: float
) -> float:
    """Summed over all counts that a Poisson variable of this mean can well have."""
    counts = np.arange(int(poisson.ppf(1 - 1e-12, mean)) + 2)
    lower, upper = limits(counts)
    return float(poisson.pmf(counts, mean)[(lower <= true) & (true <= upper)].sum())


def test_exact_limits_of_a_rate_cover_at_least_what_they_claim():
    def limits(counts: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        lower, upper = zip(*(poisson_limits(int(one), 1.0, LEVEL) for one in counts), strict=True)
        return np.array(lower), np.array(upper)

    for mean in np.geomspace(0.05, 40, 60):
        assert coverage(limits, mean, mean) >= LEVEL - 1e-9


@pytest.mark.parametrize("ratio", [0.3, 1.0, 2.5])
@pytest.mark.parametrize("earlier_mean", [0.5, 3.0, 12.0])
def test_exact_limits_of_a_ratio_cover_at_least_what_they_claim(ratio, earlier_mean):
    earlier = np.arange(int(poisson.ppf(1 - 1e-12, earlier_mean)) + 2)

    covered = 0.0
    for count, share in zip(earlier, poisson.pmf(earlier, earlier_mean), strict=True):
        covered += share * coverage(
            lambda later, count=count: _ratio_limits(count, later), 2 * ratio * earlier_mean, ratio
        )

    assert covered >= LEVEL - 1e-9


def _ratio_limits(earlier: int, later: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    found = compare_periods(np.full(len(later), earlier), 1.0, later, 2.0, level=LEVEL)
    return found.lower, found.upper
