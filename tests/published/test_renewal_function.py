"""Renewals of Weibull lives by the published power series, another way than the site's sums.

W. L. Smith, M. R. Leadbetter, On the renewal function for the Weibull distribution, Technometrics 5
(1963) 393-396: M(t) = sum (-1)^(n-1) A_n t^(nk) / Gamma(nk + 1), scale 1, with
A_n = g_n - sum_(j<n) g_j A_(n-j), g_n = Gamma(nk + 1) / n!.
"""

import math
from fractions import Fraction

import pytest

from workorders.planning.renewal import expected_renewals
from workorders.planning.weibull import Weibull

TERMS = 40


def by_series(shape: int, age: Fraction) -> float:
    """Exact for whole shapes, so that the alternating terms cancel without loss."""
    g = [Fraction(math.factorial(n * shape), math.factorial(n)) for n in range(TERMS)]
    a = [Fraction(0)] * TERMS
    for n in range(1, TERMS):
        a[n] = g[n] - sum(g[j] * a[n - j] for j in range(1, n))
    return float(
        sum(
            (-1) ** (n - 1) * a[n] * age ** (n * shape) / math.factorial(n * shape)
            for n in range(1, TERMS)
        )
    )


@pytest.mark.parametrize("shape", [1, 2, 3, 4])
@pytest.mark.parametrize("age", [Fraction(3, 10), Fraction(4, 5), Fraction(13, 10)])
def test_renewals_after_smith_and_leadbetter_1963(shape, age):
    found = expected_renewals(Weibull(shape, 1.0), float(age), 400)[-1]

    assert found == pytest.approx(by_series(shape, age), rel=1e-5)
