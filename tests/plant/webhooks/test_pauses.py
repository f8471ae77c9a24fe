"""The pauses between tries: about a day in all, never longer, never two at the same moment."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.webhooks import backoff

CHANCES = st.floats(min_value=0, max_value=1)
DAY_S = 24 * 3600


def pauses(chance: float) -> list[float]:
    found = []
    while (pause := backoff.pause_s(len(found) + 1, chance)) is not None:
        found.append(pause)
    return found


@given(CHANCES)
def test_all_pauses_together_are_most_of_a_day_and_no_more(chance: float) -> None:
    assert 0.75 * DAY_S <= sum(pauses(chance)) <= DAY_S


@given(CHANCES)
def test_each_pause_is_longer_than_the_one_before(chance: float) -> None:
    found = pauses(chance)

    assert all(later > earlier for earlier, later in pairwise(found))


def test_a_hiccup_of_seconds_costs_seconds() -> None:
    assert max(pauses(1)[:2]) <= 30


def test_a_pause_is_shortened_by_a_fifth_at_most() -> None:
    for shortest, longest in zip(pauses(0), pauses(1), strict=True):
        assert shortest == pytest.approx(0.8 * longest)


def test_after_the_last_try_somebody_has_to_look() -> None:
    assert backoff.pause_s(backoff.MOST_TRIES - 1, 0.5) is not None
    assert backoff.pause_s(backoff.MOST_TRIES, 0.5) is None
    assert backoff.pause_s(backoff.MOST_TRIES + 5, 0.5, asked_s=10) is None


def test_what_the_receiver_asks_for_is_waited_up_to_an_hour() -> None:
    assert backoff.pause_s(1, 0.5, asked_s=120) == 120
    assert backoff.pause_s(1, 0.5, asked_s=1e9) == 3600
    # Asked to come sooner than we would, we come when we would.
    assert backoff.pause_s(5, 1, asked_s=1) == pauses(1)[4]


@pytest.mark.parametrize(("tries", "chance"), [(0, 0.5), (-1, 0.5), (1, 1.5), (1, -0.1)])
def test_tries_and_chances_that_cannot_be_are_refused(tries: int, chance: float) -> None:
    with pytest.raises(ValueError, match="must be"):
        backoff.pause_s(tries, chance)


def test_a_target_that_does_not_answer_is_left_alone_longer_and_longer_up_to_a_minute() -> None:
    rests = [backoff.rest_s(failures) for failures in range(1, 60)]

    assert rests[:2] == [0, 0]
    assert rests[2] > 0
    assert rests == sorted(rests)
    assert rests[-1] == 60
    assert backoff.rest_s(1, asked_s=30) == 30
