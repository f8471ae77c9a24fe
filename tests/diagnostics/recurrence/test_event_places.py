"""Events taken together by their place on the loop."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.recurrence.event_places import PlacedEvent, places_of


def event(key: int, at_m: float, *, repeat: bool = False) -> PlacedEvent:
    return PlacedEvent(key, at_m, repeat)


def test_events_within_the_distance_are_one_place_and_count_their_repeats():
    found = places_of([event(1, 10), event(2, 24, repeat=True), event(3, 26)], same_place_m=15)

    assert [(place.position_m, len(place.events), place.repeats) for place in found] == [
        (17, 2, 1),
        (26, 1, 0),
    ]


def test_a_place_lies_across_where_the_loop_is_counted_from():
    found = places_of([event(1, 198), event(2, 4)], same_place_m=15, loop_length_m=200)

    assert [place.position_m for place in found] == [1]
    assert [one.key for one in found[0].events] == [1, 2]


def test_one_place_is_not_closed_upon_itself():
    assert len(places_of([event(1, 5)], same_place_m=15, loop_length_m=10)) == 1


def test_a_negative_distance_is_refused():
    with pytest.raises(ValueError, match="same_place_m"):
        places_of([], same_place_m=-1)


@given(
    st.lists(st.integers(0, 4000), max_size=12),
    st.integers(0, 60),
)
def test_every_event_is_in_one_place_and_none_is_wider_than_the_distance(
    tenths: list[int], same_place_m: int
):
    events = [event(key, at / 10) for key, at in enumerate(tenths)]

    found = places_of(events, same_place_m=same_place_m, loop_length_m=300.0)

    assert sorted(one.key for place in found for one in place.events) == list(range(len(tenths)))
    for place in found:
        first, last = (place.events[end].position_m % 300 for end in (0, -1))
        assert (last - first) % 300 <= same_place_m + 1e-9
