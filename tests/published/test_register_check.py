"""Formulas of the engineering check against worked values from outside, the source beside each."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from diagnostics.mechanics.register_check import formulas, limits
from diagnostics.mechanics.register_check.tension_profile import TensionProfile
from diagnostics.mechanics.tension import Strands, least_slack_tension_n
from plant.loop.parts import Part
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import ComponentKind, Run

EXAMPLE = json.loads((Path(__file__).parent / "data/conveyor_example.json").read_text())
GIVEN, RESULT = EXAMPLE["given"], EXAMPLE["result"]


# ISO 5048's least tension for a sag limit, T = a q g / (8 h/a); 3 % with the factor 4.2 is what a
# published paper uses, the others follow from the formula.
@pytest.mark.parametrize("row", EXAMPLE["sag"], ids=lambda row: f"{row['a_m']}-{row['s']}")
def test_tension_for_a_sag_limit_after_iso_5048(row):
    tension_n = formulas.tension_for_sag_n(row["a_m"], row["q"], row["s"])

    assert tension_n == pytest.approx(row["T_N"], rel=1e-9)
    assert formulas.sag_share(row["a_m"], row["q"], row["T_N"]) == pytest.approx(row["s"])


@pytest.mark.parametrize(("share", "factor"), [(0.01, 12.5), (0.02, 6.25), (0.03, 4.2)])
def test_factor_on_weight_and_spacing_for_a_sag_as_published(share, factor):
    tension_n = formulas.tension_for_sag_n(1.0, 1.0, share)

    assert tension_n / 9.81 == pytest.approx(factor, rel=0.01)


# US Army TM 5-3820-233-12, belt tension: 1/2 to 3/4 in of sag on 4 ft, and 1 % is called normal.
@pytest.mark.parametrize("inches", [0.5, 0.75])
def test_sag_called_right_in_the_army_manual_makes_no_question(inches):
    assert 0.01 <= inches / 48 <= limits.MOST_SAG_SHARE


# Identity n = 60 v / (pi D), worked for 3.15 m/s on 133 mm and 1.6 m/s on 108 mm.
@pytest.mark.parametrize("row", EXAMPLE["roll_rpm"], ids=lambda row: str(row["D"]))
def test_speed_of_a_roll_of_the_worked_conveyors(row):
    turns_rpm = formulas.roll_speed_rpm(row["v"], row["D"] * 1000)

    assert turns_rpm == pytest.approx(row["rpm"], rel=1e-9)
    assert formulas.rim_speed_mps(row["rpm"], row["D"] * 1000) == pytest.approx(row["v"])


# Statics: two strands hang on the take-up pulley; 11 332.76 N each is a weight of 2310.45 kg.
def test_counterweight_of_the_worked_conveyor():
    assert formulas.counterweight_kg(RESULT["T2_slip_N"]) == pytest.approx(2310.45, abs=0.005)
    assert formulas.counterweight_kg(RESULT["T2_slip_N"]) == pytest.approx(RESULT["takeup_mass_kg"])


def test_load_on_a_metre_of_the_worked_conveyor():
    assert formulas.load_kg_m(GIVEN["Q"], GIVEN["v"]) == pytest.approx(RESULT["qG_kg_m"])


# Length coefficient of ISO 5048, from memory; 1.38 at 250 m is between two of its values.
@pytest.mark.parametrize(
    ("centre_m", "coefficient"), [(100, 1.78), (250, 1.38), (500, 1.20), (1000, 1.09), (2000, 1.05)]
)
def test_length_coefficient_of_iso_5048_from_memory(centre_m, coefficient):
    assert formulas.length_coefficient(centre_m) == pytest.approx(coefficient, abs=0.005)


# CEMA belt book, least transition over belt width with the pulley raised by half the trough, for a
# belt at less than 60 % of its rated tension; read in a public data sheet that restates the table.
@pytest.mark.parametrize(
    ("trough_deg", "fabric", "steel"), [(20, 0.6, 1.0), (35, 0.9, 1.8), (45, 1.2, 2.2)]
)
def test_transition_distance_as_in_the_cema_table(trough_deg, fabric, steel):
    assert formulas.transition_m(1000, trough_deg, is_steel_cord=False) == pytest.approx(fabric)
    assert formulas.transition_m(1400, trough_deg, is_steel_cord=True) == pytest.approx(1.4 * steel)


# Standard widths of ISO 251, from memory; IS 11592 gives 300 to 2000 mm as its range.
def test_standard_widths_from_memory():
    widths = (300, 400, 500, 600, 650, 800, 1000, 1200, 1400, 1600, 1800, 2000, 2200, 2400)

    assert limits.WIDTHS_MM[: len(widths)] == widths


# Conveyor of 250 m, 20 m lift, 900 t/h, worked from ISO 5048's formulas as IS 11592 quotes them.
@pytest.fixture
def worked() -> TensionProfile:
    loop = loop_of_two_thin_pulleys(GIVEN["L"])
    head = loop.of_kind(ComponentKind.HEAD_PULLEY)[0]
    strands = Strands(
        belt_kg_m=GIVEN["qB"],
        load_kg_m=RESULT["qG_kg_m"],
        carrying_rolls_kg_m=GIVEN["qRO"],
        return_rolls_kg_m=GIVEN["qRU"],
        lift_m=GIVEN["H"],
        centre_m=GIVEN["L"],
    )
    behind_head_m = math.nextafter(head.first_m, math.inf)
    return TensionProfile(
        loop, strands, (head,), behind_head_m, RESULT["T2_slip_N"], friction=GIVEN["f"]
    )


def loop_of_two_thin_pulleys(centre_m: float) -> Loop:
    """Arcs of 2 mm, so that each run is as long as the centre distance."""
    half = {"diameter_mm": 1.0, "wrap_deg": 180.0}
    head = Part("HEAD", ComponentKind.HEAD_PULLEY, Run.CARRYING, centre_m, **half)
    tail = Part("TAIL", ComponentKind.TAIL_PULLEY, Run.RETURN, 2 * centre_m, **half)
    return build_loop((head, tail))


def test_pull_of_the_worked_conveyor_after_iso_5048(worked: TensionProfile):
    # The printed C of 1.38 is that between 200 and 300 m: 7189.9 C + 19 620 = 29 542 N.
    assert worked.pull_n == pytest.approx(RESULT["F_U_N"], rel=1e-4)


def test_slack_tension_of_the_worked_conveyor_from_its_pull(worked: TensionProfile):
    wrap_rad = math.radians(GIVEN["wrap"])

    needed_n = least_slack_tension_n(worked.pull_n, GIVEN["mu"], wrap_rad)

    assert needed_n == pytest.approx(RESULT["T2_slip_N"], rel=1e-4)


def test_tail_tension_of_the_worked_conveyor_exceeds_its_sag_need(worked: TensionProfile):
    # T2 + f L g (q_RU + q_B) - q_B H g = 9370.8 N against 8461.1 N for 2 %: slip governs.
    at_tail_n = worked.at_n(np.array([0.0]))[0]
    mass_kg_m = GIVEN["qB"] + RESULT["qG_kg_m"]

    sag = formulas.sag_share(GIVEN["aO"], mass_kg_m, at_tail_n)
    needed_n = formulas.tension_for_sag_n(GIVEN["aO"], mass_kg_m, GIVEN["sag"])

    assert at_tail_n == pytest.approx(9370.8, abs=3.0)
    assert needed_n == pytest.approx(RESULT["T_min_carry_N"], rel=1e-9)
    assert needed_n == pytest.approx(8461.1, abs=0.05)
    assert sag < GIVEN["sag"]


# The handbook's wrap factor 0.50 of a lagged pulley at half a turn, from memory.
def test_grip_of_a_lagged_head_pulley_at_half_a_turn(worked: TensionProfile):
    assert 1 / (worked.grip - 1) == pytest.approx(0.50, abs=0.005)
