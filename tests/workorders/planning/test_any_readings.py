"""Whatever is read of a part: an answer whose figures fit together."""

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from workorders.planning.group_replacement import (
    GroupCosts,
    Scope,
    Stretch,
    compare_group_replacement,
)
from workorders.planning.readings import Direction, Limit, Reading
from workorders.planning.wear import WearState, wear_of
from workorders.planning.weibull import Weibull

values = st.one_of(st.floats(-100, 10_000), st.integers(0, 15).map(float))
readings = st.lists(st.builds(Reading, st.floats(0, 50_000), values), max_size=12)
limits = st.builds(Limit, st.floats(-50, 200), st.sampled_from(Direction))


@settings(max_examples=300, deadline=None)
@given(readings, limits, st.one_of(st.none(), st.floats(0.01, 5)), st.floats(0.5, 0.999))
def test_figures_of_any_readings_fit_together(read, limit, error, level):
    wear = wear_of(read, limit, now=50_000, reading_error=error, level=level)

    assert sorted(wear.used + wear.set_aside) == sorted(read)
    if wear.rate_lower is not None:
        assert wear.rate_lower <= wear.rate <= wear.rate_upper
    if wear.state is WearState.WEARING:
        assert wear.rate > 0
        assert wear.met_at >= 50_000
    else:
        assert wear.met_at is None
    if wear.met_lower is not None:
        assert wear.met_lower >= 50_000
        if wear.met_at is not None:
            assert wear.met_lower <= wear.met_at
    if wear.met_upper is not None:
        assert wear.met_at <= wear.met_upper
        assert wear.rate_lower >= 0


lives = st.builds(Weibull, st.floats(0.5, 12), st.floats(100, 1e6))
stretches = st.lists(st.builds(Stretch, st.integers(1, 300), lives), min_size=1, max_size=3)
costs = st.builds(
    GroupCosts,
    st.floats(1, 1e5),
    st.floats(0, 1e4),
    st.floats(0, 1e5),
    st.floats(0, 5),
    st.floats(0, 24),
    st.floats(0, 1e5),
)


@settings(max_examples=60, deadline=None)
@given(stretches, costs)
def test_any_belt_has_a_cheapest_way_that_is_no_dearer_than_one_by_one(belt, asked):
    found = compare_group_replacement(belt, asked)

    one = next(option for option in found.options if option.scope is Scope.ONE)
    for option in found.options:
        assert math.isfinite(option.cost_rate)
        assert option.cost_rate > 0
        assert all(interval is None or interval > 0 for interval in option.intervals)
    assert found.least.cost_rate <= one.cost_rate
