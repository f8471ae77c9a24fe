"""How far chance alone would tip the balance of two versions."""

from math import comb

import pytest

from diagnostics.inference.evaluation.balance import by_chance


@pytest.mark.parametrize(("gained", "lost"), [(9, 3), (3, 9), (5, 0), (40, 22)])
def test_balance_is_both_tails_of_a_fair_coin(gained, lost):
    draws, least = gained + lost, min(gained, lost)
    # Counted out by Pascal's triangle.
    expected = 2 * sum(comb(draws, heads) for heads in range(least + 1)) / 2**draws

    assert by_chance(gained, lost) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("each", [0, 1, 7, 5000])
def test_an_even_balance_says_nothing(each):
    assert by_chance(each, each) == 1


def test_a_negative_count_is_refused():
    with pytest.raises(ValueError, match="gained and lost"):
        by_chance(-1, 2)
