"""Where times stand along a strip, what is left free, and bars that do not stand in each other."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.workorders.planning.outages.small_plans import any_plans, at, span
from workorders.planning.outages import ruling
from workorders.planning.outages.plan import Span

_spans = st.builds(
    lambda starts, long: Span(starts, starts + long), st.integers(0, 900), st.integers(1, 300)
)


def test_a_stretch_stands_in_thousandths_of_the_strip():
    strip = span(6, 16)

    assert ruling.along(strip, span(8, 10)) == ruling.Along(200, 200)
    assert ruling.along(strip, span(4, 7)) == ruling.Along(0, 100)
    assert ruling.along(strip, span(15, 40)) == ruling.Along(900, 100)
    assert ruling.along(strip, span(16, 17)) is None


def test_the_shortest_work_can_still_be_seen():
    assert ruling.along(span(0, 48), Span(at(3), at(3) + 1)) == ruling.Along(62, 1)


def test_a_strip_has_room_at_both_ends_and_begins_on_the_hour_of_its_clock():
    assert ruling.strip_around(span(7.5, 15), 60) == span(6, 16)
    # Half an hour off UTC: there the hour begins at minute 30.
    assert ruling.strip_around(span(7.5, 15), 60, hour_at=30) == span(6.5, 16.5)


def test_long_strips_have_fewer_figures():
    steps = [ruling.hours_between_ticks(span(0, hours)) for hours in (10, 48, 100, 400)]

    assert steps == [1, 2, 6, 24]


def test_gaps_are_what_nobody_covers():
    covered = [span(0, 7), span(9, 10), span(9.5, 12), span(20, 30)]

    assert ruling.gaps(span(6, 16), covered) == (span(7, 9), span(12, 16))
    assert ruling.gaps(span(6, 16), []) == (span(6, 16),)
    assert ruling.gaps(span(6, 16), [span(0, 20)]) == ()


@settings(deadline=None)
@given(st.lists(_spans, max_size=6), _spans)
def test_gaps_and_what_is_covered_make_up_the_strip(covered: list[Span], strip: Span):
    def minutes(spans: list[Span]) -> set[int]:
        return {minute for one in spans for minute in range(one.starts, one.ends)}

    free = minutes(list(ruling.gaps(strip, covered)))

    assert free == minutes([strip]) - minutes(covered)


@settings(deadline=None)
@given(st.lists(_spans, max_size=8), st.integers(0, 200))
def test_bars_of_a_lane_leave_each_other_room(spans: list[Span], least: int):
    lanes = ruling.lanes_of(spans, least)

    assert len(lanes) == len(spans)
    for lane in set(lanes):
        standing = sorted(one for one, its in zip(spans, lanes, strict=True) if its == lane)
        for one, other in itertools.pairwise(standing):
            assert max(one.ends, one.starts + least) <= other.starts


@settings(deadline=None)
@given(any_plans())
def test_no_more_lanes_are_used_than_bars_stand_at_once(whole):
    spans = [one.span for one in whole.placements.values()]
    at_once = [
        sum(one.starts <= minute < one.ends for one in spans) for minute in range(at(0), at(32), 30)
    ]

    assert len(set(ruling.lanes_of(spans, 0))) == max(at_once)
