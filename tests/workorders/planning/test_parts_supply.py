"""Sharing out what is here and what is due among orders."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workorders.planning.parts_supply import Coming, Covered, Need, Rank, share_out

TODAY = date(2026, 11, 2)
ROLL, BLADE = 1, 2


def need(key: int, amount: int, days: int = 0, *, urgency: int = 2, part: int = ROLL) -> Need:
    rank = Rank(TODAY + timedelta(days), urgency, (8, f"LT-W-{key:04}"))
    return Need(key, part, Decimal(amount), rank)


def coming(amount: int, days: int, part: int = ROLL) -> Coming:
    return Coming(part, Decimal(amount), TODAY + timedelta(days))


def share(needs: list[Need], here: int, due: list[Coming] | None = None) -> dict[int, Covered]:
    return share_out(needs, {ROLL: Decimal(here)}, due or [], today=TODAY)


def test_what_is_here_goes_to_the_work_that_is_planned_first():
    covered = share([need(1, 4, days=9), need(2, 4, days=3)], here=5)

    assert (covered[2].here, covered[2].short) == (4, 0)
    assert (covered[1].here, covered[1].short) == (1, 3)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (need(9, 4, urgency=0), need(1, 4, urgency=3)),
        (need(1, 4), need(9, 4)),
    ],
    ids=["urgency", "number"],
)
def test_on_the_same_day_urgency_decides_then_the_older_order(first: Need, second: Need):
    covered = share([second, first], here=4)

    assert covered[first.key].short == 0
    assert covered[second.key].short == 4


def test_a_need_waits_for_the_last_of_what_it_takes_from_those_due():
    covered = share([need(1, 10)], here=3, due=[coming(5, 20), coming(4, 8), coming(6, 40)])

    assert covered[1].coming == (coming(4, 8), coming(3, 20))
    assert covered[1].ready_on == TODAY + timedelta(20)
    assert covered[1].short == 0


def test_what_one_order_leaves_of_a_delivery_is_for_the_next():
    covered = share([need(1, 2), need(2, 2)], here=0, due=[coming(3, 5)])

    assert covered[1].coming == (coming(2, 5),)
    assert covered[2].coming == (coming(1, 5),)
    assert covered[2].short == 1


def test_what_should_have_come_before_today_is_promised_to_nobody():
    covered = share([need(1, 2)], here=0, due=[coming(2, -1)])

    assert covered[1] == Covered(short=Decimal(2))


def test_what_is_due_today_counts():
    assert share([need(1, 2)], here=0, due=[coming(2, 0)])[1].ready_on == TODAY


def test_one_part_never_covers_another():
    covered = share([need(1, 2, part=BLADE)], here=9, due=[coming(9, 1)])

    assert covered[1].short == 2


def test_half_metres_are_shared_out_exactly():
    belt = [Need(1, ROLL, Decimal("12.35"), need(1, 1).rank)]

    covered = share_out(belt, {ROLL: Decimal("12.30")}, [], today=TODAY)

    assert covered[1].short == Decimal("0.05")


_AMOUNTS = st.integers(0, 9)


# A machine with much to do is slow; that says nothing about the sharing.
@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(
    needs=st.lists(st.tuples(_AMOUNTS, st.integers(0, 5), st.integers(0, 3)), max_size=7),
    here=st.integers(0, 20),
    dues=st.lists(st.tuples(_AMOUNTS, st.integers(-3, 9)), max_size=5),
)
def test_nothing_is_lost_made_or_given_out_of_turn(
    needs: list[tuple[int, int, int]], here: int, dues: list[tuple[int, int]]
):
    asked = [need(key, *one[:2], urgency=one[2]) for key, one in enumerate(needs)]
    due = [coming(*one) for one in dues]

    covered = share(asked, here, due)

    assert sum(one.here for one in covered.values()) <= here
    given_out = sum(part.amount for one in covered.values() for part in one.coming)
    assert given_out <= sum(one.amount for one in due if one.due_on >= TODAY)
    for one in asked:
        mine = covered[one.key]
        assert mine.here + sum(part.amount for part in mine.coming) + mine.short == one.amount
    in_turn = [covered[one.key] for one in sorted(asked, key=lambda one: (one.rank, one.key))]
    # Once somebody had to go without, nobody after gets anything.
    wanting = [one.short > 0 for one in in_turn]
    after = in_turn[wanting.index(True) + 1 :] if True in wanting else []
    assert all(one.here == 0 and not one.coming for one in after)
