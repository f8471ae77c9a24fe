"""Whether an offset grows from look to look, and when the edge would touch."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workorders.planning.offset_trend import OffsetTrend, Pace, offset_trend

# A straight line by hand: 3 mm a day from 20 mm, so 21 mm a week; 100 mm after 26.667 days.
STEADY = [(0.0, 20.0), (7.0, 41.0), (14.0, 62.0)]
SHUFFLED = st.permutations(STEADY)


def trend(looks: list[tuple[float, float]], clearance_mm: float = 100.0) -> OffsetTrend:
    return offset_trend(looks, clearance_mm, now_d=max(at for at, _mm in looks))


def test_a_steady_growth_is_read_off_the_line() -> None:
    found = trend(STEADY)

    assert found.pace is Pace.GROWING
    assert found.mm_per_week == pytest.approx(21)
    assert found.days_left == pytest.approx(80 / 3 - 14)
    assert found.least_days_left is not None
    assert 0 <= found.least_days_left < found.days_left


def test_two_looks_make_no_trend() -> None:
    assert trend(STEADY[:2]) == OffsetTrend(Pace.TOO_FEW, 2)
    assert trend([*STEADY[:2], STEADY[1]]).pace is Pace.TOO_FEW


def test_what_an_eye_can_be_off_by_is_no_growth() -> None:
    found = trend([(0, 40), (7, 45), (14, 48)])

    assert found.pace is Pace.UNCLEAR
    assert found.days_left is None


def test_a_belt_that_comes_back_is_said_to() -> None:
    found = trend([(0, 80), (7, 50), (14, 20)])

    assert found.pace is Pace.EASING
    assert found.mm_per_week == pytest.approx(-30)
    assert found.days_left is None


def test_an_edge_that_touches_already_has_no_days_left_to_count() -> None:
    found = trend([(0, 20), (7, 70), (14, 120)])

    assert (found.pace, found.days_left) == (Pace.GROWING, None)


@given(SHUFFLED)
def test_the_order_in_which_looks_are_told_does_not_matter(
    looks: list[tuple[float, float]],
) -> None:
    assert trend(looks) == trend(STEADY)


@given(st.floats(70, 1000), st.floats(1, 500))
def test_more_clearance_lasts_longer(clearance_mm: float, more_mm: float) -> None:
    less, more = trend(STEADY, clearance_mm), trend(STEADY, clearance_mm + more_mm)

    assert less.days_left is not None
    assert more.days_left is not None
    assert more.days_left > less.days_left
    assert less.mm_per_week == pytest.approx(more.mm_per_week)


@pytest.mark.parametrize(
    ("looks", "clearance_mm"),
    [(STEADY, 0.0), (STEADY, float("nan")), ([(0.0, float("nan")), *STEADY], 100.0)],
)
def test_what_is_no_figure_is_refused(
    looks: list[tuple[float, float]], clearance_mm: float
) -> None:
    with pytest.raises(ValueError, match="must be"):
        trend(looks, clearance_mm)
