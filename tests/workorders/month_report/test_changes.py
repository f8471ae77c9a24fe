"""A belt got worse or better only where chance among so many belts does not explain it."""

import pytest
from scipy import stats

from workorders.month_report.changes import Change, Counted, Verdict, changes_of

QUIET = [Counted(f"B{n}", 4, 1, 365.0, 91.25) for n in range(9)]


def one(earlier: int, later: int, **more: float | None) -> Change:
    exposures = {"earlier_exposure": 365.0, "later_exposure": 91.25, **more}
    [found] = changes_of([Counted("Q30", earlier, later, **exposures)])
    return found


def test_a_clear_rise_is_named_with_its_ratio_and_limits():
    found = one(4, 12)

    assert found.verdict == Verdict.WORSE
    assert found.ratio == pytest.approx(12)
    assert found.lower is not None
    assert found.upper is not None
    assert 1 < found.lower < 12 < found.upper


def test_the_limits_are_the_exact_ones_of_the_binomial_share():
    found = one(4, 12)

    # Given 16 cases the later ones are binomial; Clopper and Pearson 1934, here from scipy.
    share = stats.binomtest(12, 16).proportion_ci(0.90, method="exact")
    assert found.lower == pytest.approx(4 * share.low / (1 - share.low))
    assert found.upper == pytest.approx(4 * share.high / (1 - share.high))


def test_a_clear_fall_is_named():
    assert one(40, 1).verdict == Verdict.BETTER


def test_a_rise_that_one_belt_would_prove_is_open_among_many():
    alone = one(3, 4)
    assert alone.verdict == Verdict.WORSE

    [among, *_rest] = changes_of([Counted("Q30", 3, 4, 365.0, 91.25), *QUIET])

    assert among.verdict == Verdict.OPEN
    assert among.ratio == alone.ratio


def test_belts_without_any_case_take_nothing_from_the_others():
    idle = [Counted(f"I{n}", 0, 0, 365.0, 91.25) for n in range(200)]

    found = changes_of([Counted("Q30", 3, 4, 365.0, 91.25), *idle])

    assert found[0].verdict == Verdict.WORSE
    assert {change.verdict for change in found[1:]} == {Verdict.UNKNOWN}


def test_without_earlier_cases_there_is_a_lower_limit_only():
    found = one(0, 5)

    assert (found.ratio, found.upper) == (None, None)
    assert found.lower is not None
    assert found.lower > 1


@pytest.mark.parametrize("unknown", [None, 0.0])
def test_without_exposure_nothing_is_compared(unknown: float | None):
    assert one(4, 12, earlier_exposure=unknown).verdict == Verdict.UNKNOWN
    assert one(4, 12, later_exposure=unknown).ratio is None


def test_with_the_periods_swapped_worse_becomes_better():
    there = changes_of([Counted("Q30", 6, 20, 100.0, 100.0)])[0]
    back = changes_of([Counted("Q30", 20, 6, 100.0, 100.0)])[0]

    assert (there.verdict, back.verdict) == (Verdict.WORSE, Verdict.BETTER)
    assert there.lower is not None
    assert back.upper is not None
    assert there.lower == pytest.approx(1 / back.upper)


def test_nothing_to_compare_gives_nothing():
    assert changes_of([]) == []
