"""Recurrence statistics against printed examples; where a source is from memory, it says so."""

import json
from pathlib import Path

import numpy as np
import pytest
from lifelines.datasets import load_lung

from diagnostics.recurrence import (
    beside_others,
    change_points,
    false_discovery,
    goodness_of_fit,
    holding,
    mean_cumulative,
    periods,
    rates,
    survival,
    trend_tests,
)
from diagnostics.recurrence.histories import Histories, from_lists
from diagnostics.recurrence.mean_cumulative import Variance

DATA = Path(__file__).parent / "data"


def read(name: str) -> dict:
    return json.loads((DATA / name).read_text(encoding="utf-8"))


# Nelson, "Confidence limits for recurrence data", Technometrics 37 (1995): valve seats of 41 diesel
# engines, 48 replacements. The steps were computed from these data outside this project; an
# independent package agrees at day 653.
SEATS = read("valve_seats.json")
# NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.2.3: ten repairs, observed to 1500 h.
NIST = read("repair_times.json")["nist"]
# MIL-HDBK-189 (1981), appendix C: 27 failures, test ended at 300 h.
HANDBOOK = read("repair_times.json")["mil_hdbk_189_1981_C"]
# Gaver and O'Muircheartaigh, "Robust empirical Bayes analyses of event rates", Technometrics 29
# (1987): ten pumps; the fit was computed outside this project.
PUMPS = read("pumps.json")


def valve_seats() -> Histories:
    histories = SEATS["histories"]
    return from_lists([one["events"] for one in histories], end=[one["end"] for one in histories])


@pytest.mark.parametrize(
    ("variance", "key"), [(Variance.ROBUST, "se_robust"), (Variance.POISSON, "se_poisson")]
)
def test_valve_seats_of_nelson_1995_have_the_published_course(variance, key):
    found = mean_cumulative.mean_cumulative(valve_seats(), variance=variance)

    for name, array in (("t", found.time), ("at_risk", found.at_risk), ("mcf", found.mcf)):
        assert array == pytest.approx([one[name] for one in SEATS["mcf"]], rel=1e-9)
    assert found.se == pytest.approx([one[key] for one in SEATS["mcf"]], rel=1e-9)


@pytest.mark.parametrize(
    ("day", "mcf"),
    [
        (100, 0.146341),
        (200, 0.268293),
        (300, 0.463415),
        (400, 0.658537),
        (500, 0.808537),
        (600, 1.014264),
        (653, 1.542688),
    ],
)
def test_valve_seats_reach_the_printed_means(day, mcf):
    found = mean_cumulative.mean_cumulative(valve_seats())

    assert found.mcf[np.searchsorted(found.time, day, "right") - 1] == pytest.approx(mcf, abs=5e-7)


@pytest.mark.parametrize("example", [NIST, HANDBOOK], ids=["NIST 8.2.3.4", "MIL-HDBK-189 C"])
def test_trend_tests_reproduce_the_worked_examples(example):
    histories = from_lists([example["times"]], end=[example["end"]])

    handbook = trend_tests.military_handbook(histories)
    laplace = trend_tests.laplace(histories)

    printed = example["computed"]
    assert float(handbook.chi2) == pytest.approx(printed["chi2"], rel=1e-9)
    assert handbook.df == printed["df"]
    assert float(handbook.p_lower) == pytest.approx(printed["p_lower"], rel=1e-9)
    assert float(laplace.u) == pytest.approx(printed["laplace"], rel=1e-9)
    assert float(laplace.p) == pytest.approx(printed["p2_lap"], rel=1e-9)


@pytest.mark.parametrize("example", [NIST, HANDBOOK], ids=["NIST 8.4.5.2", "MIL-HDBK-189 C"])
def test_distance_of_the_fit_reproduces_the_worked_examples(example):
    histories = from_lists([example["times"]], end=[example["end"]])

    found = goodness_of_fit.cramer_von_mises(histories)

    assert found.distance == pytest.approx(example["computed"]["CvM"], rel=1e-9)
    assert found.distance < found.critical


# Simulated outside this project, 200 000 samples each, +-0.001 (0.002 at 1 %).
@pytest.mark.parametrize(
    "row", read("repair_times.json")["cramer_von_mises_limits"]["table"], ids=lambda row: row["n"]
)
def test_critical_distances_agree_with_another_simulation(row):
    printed = {0.2: row["p20"], 0.15: row["p15"], 0.1: row["p10"], 0.05: row["p05"]}
    found = {one: goodness_of_fit.critical_distance(row["n"], one) for one in printed}

    assert found == pytest.approx(printed, abs=0.0015)
    assert goodness_of_fit.critical_distance(row["n"], 0.01) == pytest.approx(row["p01"], abs=0.003)


# MIL-HDBK-189 (1981), table of critical values, from memory.
@pytest.mark.parametrize(
    ("events", "tenth", "twentieth"),
    [(10, 0.167, 0.212), (20, 0.172, 0.217), (60, 0.173, 0.221)],
)
def test_critical_distances_agree_with_mil_hdbk_189_from_memory(events, tenth, twentieth):
    assert goodness_of_fit.critical_distance(events, 0.10) == pytest.approx(tenth, abs=0.0015)
    assert goodness_of_fit.critical_distance(events, 0.05) == pytest.approx(twentieth, abs=0.0015)


def test_ten_pumps_of_gaver_and_omuircheartaigh_1987_shrink_as_published():
    found = rates.shrunk_rates(PUMPS["failures"], PUMPS["time"])

    fitted = PUMPS["empirical_bayes"]
    assert found.prior is not None
    assert found.prior.a == pytest.approx(fitted["a"], rel=1e-6)
    assert found.prior.b == pytest.approx(fitted["b"], rel=1e-6)
    assert found.prior.log_likelihood == pytest.approx(fitted["loglik"], abs=1e-8)
    assert found.shrunk == pytest.approx(fitted["means"], abs=5.1e-6)


# Exact Poisson 95 % limits of a count, chi-square identity (Garwood 1936).
@pytest.mark.parametrize(
    ("events", "lower", "upper"),
    [(0, 0, 3.6889), (1, 0.02532, 5.5716), (5, 1.6235, 11.6683), (10, 4.7954, 18.3904)],
)
def test_poisson_limits_are_the_printed_ones(events, lower, upper):
    found = rates.poisson_limits(events, 1.0, 0.95)

    assert found == pytest.approx((lower, upper), abs=5.1e-5)


# Mean time between two failures in 800 h, 90 % two-sided: chi-square factors 0.31767 and 5.62807 as
# NIST/SEMATECH 8.4.5.1 uses them (computed; match from memory).
def test_mean_time_of_two_failures_has_the_limits_of_nist_8_4_5_1():
    lower, upper = rates.poisson_limits(2, 800.0, 0.90)

    assert 1 / upper == pytest.approx(400 * 0.31767, abs=5e-3)
    assert 1 / lower == pytest.approx(400 * 5.62807, abs=5e-3)


# Benjamini and Hochberg 1995, section 3.2: fifteen probabilities of a trial of thrombolysis; at 5 %
# the first four are findings. From memory.
BENJAMINI_HOCHBERG_1995 = [
    *(0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344),
    *(0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0000),
]


def test_false_discovery_keeps_the_four_findings_of_benjamini_hochberg_1995():
    found = false_discovery.adjusted_probabilities(BENJAMINI_HOCHBERG_1995)

    assert (found <= 0.05).sum() == 4


# Freireich et al. 1963: weeks of remission with a drug (+ still held) and without; log-rank 16.79,
# expected 19.25 and 10.75, as textbooks of survival analysis print it. From memory.
DRUG = [6, 6, 6, 7, 10, 13, 16, 22, 23]
DRUG_HELD = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
NO_DRUG = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]


def test_log_rank_of_freireich_1963_is_the_printed_one():
    found = survival.compare_groups(
        [*DRUG, *DRUG_HELD, *NO_DRUG],
        [True] * 9 + [False] * 12 + [True] * 21,
        ["drug"] * 21 + ["none"] * 21,
    )

    assert found.chi2 == pytest.approx(16.79, abs=5e-3)
    assert found.observed.tolist() == [9, 21]
    assert found.expected == pytest.approx([19.25, 10.75], abs=5.1e-3)


def test_kaplan_meier_of_freireich_1963_is_the_printed_one():
    found = survival.kaplan_meier([*DRUG, *DRUG_HELD], [True] * 9 + [False] * 12)

    printed = [0.857, 0.807, 0.753, 0.690, 0.627, 0.538, 0.448]
    assert found.survival == pytest.approx(printed, abs=5.1e-4)
    assert found.median == 23


# The same with 95 % limits on the log(-log) scale, as a statistical package prints them: 13 weeks,
# and no upper limit. From memory.
def test_median_of_freireich_1963_has_the_printed_limits():
    course = survival.kaplan_meier([*DRUG, *DRUG_HELD], [True] * 9 + [False] * 12, level=0.95)

    found = holding.median_of(course)

    assert found == holding.Estimate(23.0, 13.0, None)


# Lung cancer data of the North Central Cancer Treatment Group (Loprinzi et al. 1994), performance
# as the patient rated it, compared within institutions: 21.4 on 7 degrees of freedom, p 0.00326, as
# the manual of a statistical package prints it. Data of the lifelines package; results from memory.
def test_log_rank_within_strata_of_the_lung_data_is_the_printed_one():
    lung = load_lung().dropna(subset=["inst", "pat.karno"])

    found = survival.compare_groups(
        lung["time"], lung["status"], lung["pat.karno"].tolist(), strata=lung["inst"].tolist()
    )

    assert len(lung) == 224
    assert found.chi2 == pytest.approx(21.4, abs=0.05)
    assert found.df == 7
    assert found.p == pytest.approx(0.00326, abs=5.1e-6)


# O'Connor 1985 / Meeker and Escobar 1998: kilometres of 38 vehicle shock absorbers, 11 failed.
def test_kaplan_meier_of_the_shock_absorbers_is_the_published_one():
    failed = [6700, 9120, 12200, 13150, 14300, 17520, 20100, 20900, 22700, 26510, 27490]
    held = [
        *(6950, 7820, 8790, 9660, 9820, 11310, 11690, 11850, 11880, 12140, 12870, 13330, 13470),
        *(14040, 17540, 17890, 18450, 18960, 18980, 19410, 20100, 20150, 20320, 23490, 27410),
        *(27890, 28100),
    ]

    found = survival.kaplan_meier([*failed, *held], [True] * 11 + [False] * 27)

    # At 17 520 km, which stands to 20 000, and at the last failure.
    assert found.survival[[5, 10]] == pytest.approx([0.783752, 0.287376], abs=5.1e-7)
    assert found.se[[5, 10]] == pytest.approx([0.080342, 0.151089], abs=5.1e-7)


# Breast cancer after repeated fluoroscopy: 41 cases in 28 010 person-years, 15 in 19 017 without
# (Boice and Monson 1977); exact 95 % limits of the ratio as statistical packages print them. From
# memory.
def test_ratio_of_boice_and_monson_1977_has_the_printed_limits():
    found = periods.compare_periods(15, 19017, 41, 28010, level=0.95)

    assert float(found.ratio) == pytest.approx(1.855759, abs=5.1e-7)
    assert float(found.lower) == pytest.approx(1.005684, abs=5.1e-7)
    assert float(found.upper) == pytest.approx(3.6093, abs=5.1e-5)


# Worked example of a package's Poisson test: 11 in 800 against 21 in 3011. From memory.
def test_ratio_of_eleven_to_twenty_one_has_the_printed_limits():
    found = periods.compare_periods(21, 3011, 11, 800, level=0.95)

    assert float(found.lower) == pytest.approx(0.8584264, abs=5.1e-8)
    assert float(found.upper) == pytest.approx(4.2772659, abs=5.1e-8)


# Convictions of like-sex twins of criminals, Fisher 1935 after Lange: of 17 twins not of one egg 2
# were convicted, of 13 of one egg 10; conditional odds ratio and exact 95 % limits as a statistical
# package prints them. From memory.
def test_odds_of_twins_of_fisher_1935_have_the_printed_limits():
    found = beside_others.compare_with_others(
        beside_others.Counted(15, 1.0, 2, 1.0), beside_others.Counted(3, 1.0, 10, 1.0), level=0.95
    )

    assert found is not None
    assert float(found.ratio) == pytest.approx(0.04693661, abs=5e-7)
    assert float(found.lower) == pytest.approx(0.0033, abs=5e-5)
    assert float(found.upper) == pytest.approx(0.363, abs=5e-4)


# Explosions in British coal mines by year, 1851 to 1961 (Jarrett 1979), as analysed by Carlin,
# Gelfand and Smith, Applied Statistics 41 (1992): the rate changed most likely after year 41, from
# about 3.1 to about 0.92 a year. Data and results from memory; the counts add to the known 191.
COAL = (
    "4 5 4 0 1 4 3 4 0 6 3 3 4 0 2 6 3 3 5 4 5 3 1 4 4 1 5 5 3 4 2 5 2 2 3 4 2 1 3 2 "
    "2 1 1 1 1 3 0 0 1 0 1 1 0 0 3 1 0 3 2 2 0 1 1 1 0 1 0 1 0 0 0 2 1 0 0 0 1 1 0 2 "
    "3 3 1 1 2 1 1 1 1 2 4 2 0 0 1 4 0 0 0 1 0 0 0 0 0 1 0 0 1 0 1 "
)


def test_coal_mine_explosions_change_in_the_published_year():
    counts = [int(one) for one in COAL.split()]
    assert sum(counts) == 191
    # Within a year only the number is known: spread evenly.
    times = [year + (k + 0.5) / count for year, count in enumerate(counts) for k in range(count)]

    found = change_points.find_change(from_lists([times], end=[len(counts)]))

    assert found is not None
    assert int(np.ceil(found.mode)) == 41
    assert (found.rate_before, found.rate_after) == pytest.approx((3.1, 0.92), abs=0.05)
    assert found.probability > 0.999
