"""Lives of rolls in their places: what ended, what still runs, what nobody knows."""

from datetime import date

from workorders.planning.part_lives import PartLife, Replaced, lives_in_places, together

FITTED, MARCH, JULY = date(2024, 1, 1), date(2025, 3, 1), date(2026, 7, 1)


def test_rolls_nobody_touched_still_run_and_are_counted_at_once():
    lives = lives_in_places(180, FITTED, [[Replaced(MARCH, True)]])

    assert lives.counts == {
        PartLife(FITTED, MARCH, True): 1,
        PartLife(MARCH, None, False): 1,
        PartLife(FITTED, None, False): 179,
    }
    assert lives.running == {FITTED: 179, MARCH: 1}
    assert lives.unknown == 0


def test_a_place_changed_twice_has_three_lives():
    lives = lives_in_places(1, FITTED, [[Replaced(JULY, False), Replaced(MARCH, True)]])

    assert lives.counts == {
        PartLife(FITTED, MARCH, True): 1,
        PartLife(MARCH, JULY, False): 1,
        PartLife(JULY, None, False): 1,
    }


def test_a_roll_that_came_nobody_knows_when_is_left_out_and_counted():
    lives = lives_in_places(3, None, [[Replaced(MARCH, True), Replaced(JULY, True)]])

    assert lives.counts == {PartLife(MARCH, JULY, True): 1, PartLife(JULY, None, False): 1}
    assert lives.unknown == 3


def test_what_was_changed_before_the_group_came_was_in_another_group():
    lives = lives_in_places(1, MARCH, [[Replaced(FITTED, True)]])

    assert lives.counts == {PartLife(MARCH, None, False): 1}


def test_groups_are_put_together():
    one = lives_in_places(2, FITTED, [])
    both = together([one, one])

    assert both.counts == {PartLife(FITTED, None, False): 4}
