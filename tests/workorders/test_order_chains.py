"""Orders that wait for others: circles are found however long they are."""

from itertools import permutations, product

import pytest

from workorders.order_chains import as_one, circle_through, waits_from, way_back

# 1 waits for 2, 2 for 3, 3 for 4; 5 stands alone.
LINE = waits_from([(1, 2), (2, 3), (3, 4)])


@pytest.mark.parametrize(
    ("order", "after", "way"),
    [
        (1, 5, ()),
        (5, 1, ()),
        (1, 4, ()),
        (2, 1, (1, 2)),
        (4, 1, (1, 2, 3, 4)),
        (3, 3, (3,)),
    ],
)
def test_a_link_that_closes_a_circle_is_told_with_its_way(
    order: int, after: int, way: tuple[int, ...]
) -> None:
    assert way_back(LINE, order, after) == way


def _has_circle(links: set[tuple[int, int]]) -> bool:
    """No order of doing the work lets everybody begin after what they wait for."""
    keys = sorted({key for link in links for key in link})
    return not any(
        all(turn.index(order) > turn.index(after) for order, after in links)
        for turn in permutations(keys)
    )


def test_links_of_four_orders_are_taken_exactly_when_all_can_still_be_done() -> None:
    every = [link for link in product(range(4), repeat=2) if link[0] != link[1]]
    tried = 0
    for order, after in every:
        others = [link for link in every if link != (order, after)]
        # Every fourth choice of links that are no circle by themselves: some hundreds.
        for choice in range(0, 2 ** len(others), 4):
            links = {link for bit, link in enumerate(others) if choice >> bit & 1}
            if len(links) > 4 or _has_circle(links):
                continue
            tried += 1
            refused = bool(way_back(waits_from(links), order, after))
            assert refused == _has_circle({*links, (order, after)})
    assert tried > 500


def test_orders_that_become_one_wait_for_what_any_of_them_waited_for() -> None:
    waits = waits_from([(1, 7), (2, 8), (9, 2), (2, 1)])

    one = as_one(waits, {1, 2}, 1)

    assert one == {1: {7, 8}, 9: {1}}


def test_whoever_stood_between_two_orders_makes_them_a_circle() -> None:
    # 3 waits for 2 and 1 waits for 3: as one, it would wait for itself by way of 3.
    waits = waits_from([(1, 3), (3, 2)])

    assert circle_through(as_one(waits, {1, 2}, 1), 1) == (3,)
    assert circle_through(as_one(LINE, {1, 2}, 1), 1) == ()
