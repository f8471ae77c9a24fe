"""Histories refuse what cannot have happened, and keep what looks odd but can."""

import numpy as np
import pytest

from diagnostics.recurrence.histories import from_lists, histories_of


@pytest.mark.parametrize(
    ("unit", "time", "end", "entry", "said"),
    [
        ([0], [11.0], [10.0], 0.0, "not above its end, got 11.0 for unit 0"),
        ([0], [0.0], [10.0], 0.0, "above its unit's entry"),
        ([1], [3.0], [10.0, 10.0], [0.0, 3.0], "got 3.0 for unit 1"),
        ([2], [3.0], [10.0, 10.0], 0.0, "unit must be 0 to 1"),
        ([-1], [3.0], [10.0], 0.0, "unit must be 0 to 0"),
        ([0], [np.nan], [10.0], 0.0, "time must be finite"),
        ([0], [np.inf], [np.inf], 0.0, "entry and end must be finite"),
        ([], [], [5.0], 5.0, "0 <= entry < end"),
        ([], [], [5.0], -1.0, "0 <= entry < end"),
        ([0], [], [5.0], 0.0, "a unit and a time"),
    ],
)
def test_what_cannot_have_happened_is_refused(unit, time, end, entry, said):
    with pytest.raises(ValueError, match=said):
        histories_of(unit, time, end=end, entry=entry)


def test_events_come_in_order_of_time_with_their_units():
    histories = histories_of([1, 0, 1], [9.0, 4.0, 2.0], end=[10.0, 10.0, 3.0])

    assert histories.time.tolist() == [2.0, 4.0, 9.0]
    assert histories.unit.tolist() == [1, 0, 1]
    assert histories.counts.tolist() == [1, 2, 0]


def test_an_event_at_the_very_end_and_equal_times_are_kept():
    histories = from_lists([[10.0, 10.0], []], end=[10.0, 10.0])

    assert histories.events == 2
