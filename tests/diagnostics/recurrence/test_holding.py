"""Mends side by side: what each group can say, and which is called best."""

import math

import pytest

from diagnostics.recurrence.holding import FEWEST, HeldMend, holding_of, median_of, share_at
from diagnostics.recurrence.survival import compare_groups, kaplan_meier


def mends(group: str, *held: float, stratum: str = "") -> list[HeldMend]:
    """A figure below 0 still holds at that age."""
    return [HeldMend(group, stratum, abs(one), one > 0) for one in held]


def test_a_share_after_the_longest_time_watched_is_unknown():
    held = [30.0, 60.0, 100.0]
    course = kaplan_meier(held, [True, False, False])

    assert share_at(held, course, 100.0, 0.9).value == pytest.approx(2 / 3)
    assert share_at(held, course, 101.0, 0.9) is None


def test_once_nothing_holds_the_share_stays_nothing():
    course = kaplan_meier([10.0, 20.0], [True, True])

    found = share_at([10.0, 20.0], course, 500.0, 0.9)

    assert (found.value, found.lower, found.upper) == (0.0, None, None)


def test_mends_that_all_hold_are_not_called_certain():
    # Of ten that all held, the true share is at least 0.05^(1/10) with 95 % confidence.
    held = [120.0] * 10 + [40.0] * 3
    course = kaplan_meier(held, [False] * 13)

    found = share_at(held, course, 90.0, 0.9)

    assert found.value == 1.0
    assert found.lower == pytest.approx(0.7411344)  # 0.05 ** 0.1
    assert found.upper == 1.0


def test_a_median_is_unknown_while_more_than_half_hold():
    assert median_of(kaplan_meier([5.0, 9.0, 9.0], [True, False, False])) is None


def test_those_still_watched_are_counted_at_each_mark():
    found = holding_of(
        mends("a", 10, -20, -30), marks=[15.0], at_risk_marks=[0.0, 10.0, 20.0, 25.0, 31.0]
    )

    [group] = found.groups
    assert group.at_risk == (3, 3, 2, 1, 0)
    assert (group.mends, group.came_back, group.longest) == (3, 1, 30.0)


def test_the_largest_share_at_the_last_mark_that_two_reach_is_best():
    good = mends("lagged", *[-120] * 8, 100, 110)
    poor = mends("trained", *[-120] * 4, 20, 30, 40, 50)
    # One of this one alone is watched to the second mark.
    found = holding_of([*good, *poor, *mends("lagged", -200)], marks=[90.0, 180.0])

    assert (found.best.group, found.best.next_group) == ("lagged", "trained")
    assert found.best.mark == 90.0
    assert found.best.still.value == 1.0
    assert 0 < found.best.p < 0.1


def test_a_small_group_is_never_called_best():
    found = holding_of(
        [*mends("rare", *[-200] * (FEWEST - 1)), *mends("usual", *[-200] * 5, 50)], marks=[90.0]
    )

    assert [one.is_small for one in found.groups] == [False, True]
    assert (found.best.group, found.best.next_group) == ("usual", None)
    assert math.isnan(found.best.p)


def test_without_a_group_that_can_be_judged_none_is_best():
    assert holding_of(mends("a", 10, -20), marks=[15.0]).best is None
    assert holding_of([], marks=[15.0]).groups == ()
    assert holding_of(mends("a", *[-5] * 9), marks=[15.0]).best is None


def test_a_mend_of_what_always_comes_back_is_not_taken_for_a_worse_one():
    # Splices come back whatever is done, idlers hardly ever; most splices were mended by "a".
    often, seldom = [10, 20, 30, 40, -50], [-50, -50, -50, -50, 45]
    given = [
        *mends("a", *often * 4, stratum="splice"),
        *mends("b", *often, stratum="splice"),
        *mends("a", *seldom, stratum="idler"),
        *mends("b", *seldom * 4, stratum="idler"),
    ]

    found = holding_of(given, marks=[30.0])

    assert found.log_rank.p > 0.5
    mixed = compare_groups(
        [one.held for one in given],
        [one.came_back for one in given],
        [one.group for one in given],
    )
    assert mixed.p < 0.01


def test_groups_that_no_stratum_holds_together_are_not_compared():
    found = compare_groups(
        [5.0, 6.0, 7.0, 8.0], [True] * 4, ["a", "a", "b", "b"], strata=["x", "x", "y", "y"]
    )

    assert math.isnan(found.p)


def test_a_group_apart_from_the_others_costs_no_degree_of_freedom():
    both = [3.0, 9.0, 4.0, 12.0, 7.0, 15.0], [True] * 6, ["a", "b"] * 3
    alone = compare_groups(*both)

    found = compare_groups(
        [*both[0], 5.0, 6.0], [True] * 8, [*both[2], "c", "c"], strata=["x"] * 6 + ["y"] * 2
    )

    assert (found.df, found.chi2) == (1, pytest.approx(alone.chi2))


def test_a_stratum_is_needed_for_each():
    with pytest.raises(ValueError, match="stratum"):
        compare_groups([5.0], [True], ["a"], strata=[])
