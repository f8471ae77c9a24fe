"""Wilson's interval against printed examples.

R. G. Newcombe, "Two-sided confidence intervals for the single proportion: comparison of seven
methods", Statistics in Medicine 17 (1998), 857-872, table I, method 3 (score interval without
continuity correction); the four examples quoted from memory.
"""

import pytest

from diagnostics.inference.evaluation.rates import wilson_interval

NEWCOMBE_TABLE_I = {
    (81, 263): (0.2553, 0.3662),
    (15, 148): (0.0624, 0.1605),
    (0, 20): (0.0000, 0.1611),
    (1, 29): (0.0061, 0.1718),
}


@pytest.mark.parametrize(("counts", "limits"), NEWCOMBE_TABLE_I.items())
def test_wilson_interval_reproduces_newcombe_1998_table_1(counts, limits):
    assert wilson_interval(*counts, 0.95) == pytest.approx(limits, abs=5e-5)
