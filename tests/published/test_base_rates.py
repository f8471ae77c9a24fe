"""Bayesian updating of shares against printed worked examples.

A. Gelman, J. B. Carlin, H. S. Stern, D. B. Rubin, Bayesian Data Analysis, 2nd edition 2004, section
2.5, probability of a girl birth given placenta previa: 437 girls of 980 births; the table of
conjugate priors (mean and weight of the prior; median and 95 % interval of the posterior) and, for
the uniform prior, mean 0.446 and standard deviation 0.016. From memory.
"""

from dataclasses import replace

import pytest

from diagnostics.inference.base_rates import PriorWeights, plant_rates
from diagnostics.inference.case_counts import CaseCounts
from diagnostics.inference.learning import learned, lessons_of
from diagnostics.inference.vocabulary import CauseClass
from tests.diagnostics import belts

GIRLS, BIRTHS = 437, 980
# (mean of the prior, its weight in births): 95 % interval of the posterior.
PLACENTA_PREVIA = {
    (0.500, 2): (0.415, 0.477),
    (0.485, 2): (0.415, 0.477),
    (0.485, 5): (0.415, 0.477),
    (0.485, 10): (0.415, 0.477),
    (0.485, 20): (0.416, 0.478),
    (0.485, 100): (0.420, 0.479),
    (0.485, 200): (0.424, 0.481),
}
DAMAGE, CAMBER = "one_sided_belt_damage", "belt_camber"


def two_causes_of_one_class(share: float):
    """A catalogue in which one cause is expected as often as a girl, the other as a boy."""
    known = belts.knowledge()
    causes = {
        DAMAGE: replace(known.causes[DAMAGE], weight=share),
        CAMBER: replace(known.causes[CAMBER], weight=1 - share),
    }
    return replace(known, causes=causes, rules=())


@pytest.mark.parametrize(("prior", "interval"), PLACENTA_PREVIA.items())
def test_credible_interval_reproduces_the_table_of_gelman_et_al_2004_section_2_5(prior, interval):
    share, weight = prior
    counts = CaseCounts({DAMAGE: GIRLS, CAMBER: BIRTHS - GIRLS})

    (lesson,) = lessons_of(
        counts, None, two_causes_of_one_class(share), PriorWeights(catalogue_cases=weight)
    )

    found = lesson.causes[DAMAGE]
    assert (found.lower, found.upper) == pytest.approx(interval, abs=5.1e-4)


def test_posterior_mean_reproduces_gelman_et_al_2004_section_2_5():
    counted = {"girl": float(GIRLS), "boy": float(BIRTHS - GIRLS)}

    found = learned(0.5, 2, counted, "girl", GIRLS)

    assert found.mean == pytest.approx(0.446, abs=5e-4)
    # 438 and 544 in Beta(438, 544).
    assert found.mean == pytest.approx(438 / 982, rel=1e-12)


# Rule of succession, Laplace 1774, in every textbook: after s successes in n trials and an even
# start the chance of another is (s + 1) / (n + 2).
@pytest.mark.parametrize(("successes", "trials"), [(0, 0), (0, 5), (5, 5), (9, 10)])
def test_an_even_start_worth_two_cases_gives_laplaces_rule_of_succession(successes, trials):
    known = belts.knowledge()
    splice = "crooked_splice"
    causes = {slug: known.causes[slug] for slug in (splice, DAMAGE)}
    counts = CaseCounts({splice: successes, DAMAGE: trials - successes})

    rates = plant_rates(counts, replace(known, causes=causes), PriorWeights(start_cases=2))

    expected = (successes + 1) / (trials + 2)
    assert rates.mean[CauseClass.BELT_SPLICE] == pytest.approx(expected, rel=1e-12)
