"""What became of a fix or a campaign: how long it held, when the rate changed, by how much."""

import numpy as np
import pytest

from diagnostics.recurrence.beside_others import Counted, compare_with_others
from diagnostics.recurrence.change_points import find_change
from diagnostics.recurrence.histories import from_lists, histories_of
from diagnostics.recurrence.periods import compare_periods
from diagnostics.recurrence.survival import compare_groups, kaplan_meier


def test_fixes_that_all_hold_have_no_step_and_no_median():
    found = kaplan_meier([30.0, 90.0, 90.0], [False] * 3)

    assert found.time.size == 0
    assert np.isnan(found.median)


def test_when_everything_came_back_the_last_step_is_zero_without_limits():
    found = kaplan_meier([10.0, 20.0], [True, True])

    assert found.survival.tolist() == [0.5, 0.0]
    assert np.isnan(found.se[1])
    assert np.isnan([found.lower[1], found.upper[1]]).all()
    assert found.median == 10.0


def test_a_fix_that_held_to_the_day_of_another_s_return_was_at_risk_then():
    found = kaplan_meier([10.0, 10.0, 15.0], [True, False, False])

    assert found.at_risk.tolist() == [3]
    assert found.survival == pytest.approx([2 / 3])


def test_limits_of_survival_stay_between_nothing_and_all():
    found = kaplan_meier([1.0, 2.0, 3.0, 4.0], [True, True, True, False], level=0.99)

    assert ((found.lower > 0) & (found.lower < found.survival)).all()
    assert ((found.upper < 1) & (found.upper > found.survival)).all()


@pytest.mark.parametrize(
    ("durations", "came_back", "groups"),
    [
        ([5.0, 9.0], [True, True], ["trained", "trained"]),
        ([5.0, 9.0], [False, False], ["trained", "lagged"]),
        ([], [], []),
        # The one that came back was the last at risk: it had nothing to be compared with.
        ([5.0, 2.0], [True, False], ["trained", "lagged"]),
    ],
    ids=["one group", "all hold", "nothing", "never together"],
)
def test_groups_that_cannot_be_compared_get_no_probability(durations, came_back, groups):
    found = compare_groups(durations, came_back, groups)

    assert np.isnan(found.chi2)
    assert np.isnan(found.p)


def test_a_fix_that_never_holds_is_told_from_one_that_does():
    found = compare_groups(
        [*range(5, 25), *range(100, 120)], [True] * 20 + [False] * 20, ["a"] * 20 + ["b"] * 20
    )

    assert found.p < 1e-6
    assert found.observed.tolist() == [20, 0]
    assert found.expected.sum() == pytest.approx(20)


@pytest.mark.parametrize("bad", [[0.0], [-1.0], [np.nan], [np.inf]])
def test_a_duration_that_is_none_is_refused(bad):
    with pytest.raises(ValueError, match="durations"):
        kaplan_meier(bad, [True])


def test_a_change_is_found_where_it_is():
    # Two a day for 50 days, then one in five days.
    times = [*np.arange(0.25, 50, 0.5), *np.arange(52.5, 100, 5)]

    found = find_change(from_lists([times], end=[100.0]))

    assert found.lower <= 50 <= found.upper
    assert found.mode == pytest.approx(49.75)
    assert (found.rate_before, found.rate_after) == pytest.approx((2.0, 0.2), rel=0.1)
    assert found.probability > 0.999


def test_even_events_speak_against_a_change():
    found = find_change(from_lists([np.arange(1.0, 100, 2)], end=[100.0]))

    assert found.probability < 0.2


def test_a_change_is_looked_for_only_since_the_campaign():
    times = [*np.arange(0.25, 50, 0.5), *np.arange(52.5, 100, 5)]

    found = find_change(from_lists([times], end=[100.0]), since=60, until=90)

    assert 60 <= found.lower <= found.upper <= 90
    assert 60 <= found.mode <= 90


def test_belts_that_come_and_go_are_no_change_of_their_rate():
    # One belt all along, nine more from day 50: ten times the events, the same rate.
    rng = np.random.default_rng(6)
    entry = np.array([0.0] + [50.0] * 9)
    unit = np.repeat(np.arange(10), [50] + [25] * 9)
    times = entry[unit] + (100 - entry[unit]) * (1 - rng.uniform(size=len(unit)))

    found = find_change(histories_of(unit, times, end=[100.0] * 10, entry=entry))
    together = find_change(from_lists([times], end=[100.0]))

    assert found.probability < 0.5
    assert together.probability > 0.999


def test_no_events_have_no_change_and_an_empty_stretch_is_refused():
    assert find_change(from_lists([[]], end=[100.0])) is None
    with pytest.raises(ValueError, match="nothing is watched"):
        find_change(from_lists([[5.0]], end=[100.0]), since=100.0)


def test_periods_without_events_say_so_by_open_limits():
    found = compare_periods([0, 0, 3], 1.0, [0, 3, 0], 1.0)

    assert np.isnan(found.ratio[0])
    assert (found.lower[0], found.upper[0], found.p_two_sided[0]) == (0.0, np.inf, 1.0)
    assert (found.ratio[1], found.upper[1]) == (np.inf, np.inf)
    assert found.lower[1] > 0
    assert (found.ratio[2], found.lower[2]) == (0.0, 0.0)


def test_periods_changed_over_give_the_inverse_ratio():
    found, turned = compare_periods(7, 300.0, 2, 200.0), compare_periods(2, 200.0, 7, 300.0)

    assert float(found.lower) == pytest.approx(1 / float(turned.upper))
    assert float(found.p_two_sided) == pytest.approx(float(turned.p_two_sided))


@pytest.mark.parametrize(
    ("given", "said"),
    [((1.5, 1, 1, 1), "earlier"), ((1, 1, -1, 1), "later"), ((1, 0, 1, 1), "earlier_exposure")],
)
def test_counts_and_exposures_out_of_range_are_refused(given, said):
    with pytest.raises(ValueError, match=said):
        compare_periods(*given)


def test_what_changed_for_all_belts_alike_drops_out():
    # Both came twice as often by their exposure, which differs.
    chosen, others = Counted(10, 100.0, 40, 200.0), Counted(30, 900.0, 10, 150.0)

    found = compare_with_others(chosen, others)

    assert found is not None
    # The conditional estimate lies a little nearer to no odds than the plain ratio, which is 1.
    assert float(found.ratio) == pytest.approx(1.0, abs=0.05)
    assert float(found.lower) < 1 < float(found.upper)
    assert float(found.p_two_sided) > 0.8


def test_without_anything_to_compare_there_is_no_ratio_beside_others():
    some, none = Counted(3, 1.0, 4, 1.0), Counted(0, 1.0, 0, 1.0)

    assert compare_with_others(none, some) is None
    assert compare_with_others(some, none) is None
    assert compare_with_others(Counted(3, 1.0, 0, 1.0), Counted(2, 1.0, 0, 1.0)) is None


def test_a_change_to_nothing_beside_others_has_only_an_upper_limit():
    found = compare_with_others(Counted(9, 1.0, 0, 1.0), Counted(20, 1.0, 20, 1.0))

    assert found is not None
    assert (float(found.ratio), float(found.lower)) == (0.0, 0.0)
    assert 0 < float(found.upper) < 1


def test_a_large_plant_beside_others_is_reckoned_too():
    found = compare_with_others(
        Counted(30_000, 1e6, 20_000, 1e6), Counted(50_000, 1e6, 50_000, 1e6)
    )

    assert found is not None
    assert float(found.ratio) == pytest.approx(2 / 3, rel=1e-3)


def test_counts_beside_others_out_of_range_are_refused():
    with pytest.raises(ValueError, match="later_exposure"):
        compare_with_others(Counted(1, 1.0, 1, 0.0), Counted(1, 1.0, 1, 1.0))
