"""Tension along a conveyor and what its drive needs, against worked figures of the standard."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from diagnostics.mechanics.line import LineData
from diagnostics.mechanics.tension import (
    Strands,
    least_slack_tension_n,
    tension_along_loop_n,
    tension_ratio,
)
from tests.diagnostics.mechanics.small_lines import flat_loop, line

EXAMPLE = json.loads((Path(__file__).parent / "data/conveyor_example.json").read_text())
GIVEN, RESULT = EXAMPLE["given"], EXAMPLE["result"]

# Conveyor of 250 m, 20 m lift, 900 t/h, worked by hand from ISO 5048's main and slope resistance
# (formulas as IS 11592 quotes them).
STRANDS = Strands(
    belt_kg_m=GIVEN["qB"],
    load_kg_m=RESULT["qG_kg_m"],
    carrying_rolls_kg_m=GIVEN["qRO"],
    return_rolls_kg_m=GIVEN["qRU"],
    lift_m=GIVEN["H"],
    centre_m=GIVEN["L"],
)


def test_main_resistance_of_the_worked_conveyor_after_iso_5048():
    level = Strands(
        **{**STRANDS.__dict__, "lift_m": 0.0},
    )

    # Without lift the cosine is 1; the worked figure has that of 4.589 degrees.
    cosine = math.cos(math.radians(RESULT["incline_deg"]))
    rolls_n = 9.81 * 0.02 * 250 * (GIVEN["qRO"] + GIVEN["qRU"])
    moved_n = level.pull_n(GIVEN["f"]) - rolls_n

    assert rolls_n + moved_n * cosine == pytest.approx(RESULT["F_H_N"], rel=1e-6)


def test_main_and_slope_resistance_of_the_worked_conveyor_after_iso_5048():
    wanted = RESULT["F_H_N"] + RESULT["F_St_N"]

    assert STRANDS.pull_n(GIVEN["f"]) == pytest.approx(wanted, rel=1e-6)


def test_tail_tension_of_the_worked_conveyor_after_iso_5048():
    # Behind the head 11 332.8 N; at the tail that and f L g (q_RU + q_B) less q_B H g = 9 370.8 N
    # by the short form, which leaves the cosine (0.3 % of the belt's part) out.
    head_m, length_m = GIVEN["L"], 2 * GIVEN["L"]

    at_tail, behind_head = tension_along_loop_n(
        np.array([0.0, head_m + 1e-9]),
        head_m=head_m,
        length_m=length_m,
        strands=STRANDS,
        known_at_m=head_m + 1e-9,
        known_n=RESULT["T2_slip_N"],
        friction=GIVEN["f"],
    )

    assert behind_head == pytest.approx(RESULT["T2_slip_N"])
    assert at_tail == pytest.approx(9370.8, abs=3.0)


def test_tension_before_the_head_less_that_behind_it_is_what_the_drive_pulls():
    head_m = GIVEN["L"]

    before, behind = tension_along_loop_n(
        np.array([head_m, head_m + 1e-9]),
        head_m=head_m,
        length_m=2 * head_m,
        strands=STRANDS,
        known_at_m=0.0,
        known_n=20_000.0,
        friction=GIVEN["f"],
    )

    assert before - behind == pytest.approx(STRANDS.pull_n(GIVEN["f"]), rel=1e-9)


# Euler and Eytelwein's formula, computed; wrap factors 0.84 (bare, 180 degrees) and 0.50 (lagged)
# in the CEMA handbook, from memory.
@pytest.mark.parametrize("row", EXAMPLE["euler"], ids=lambda row: f"{row['wrap_deg']}-{row['mu']}")
def test_tension_ratio_and_slack_side_after_euler_and_eytelwein(row):
    wrap_rad = math.radians(row["wrap_deg"])

    assert tension_ratio(row["mu"], wrap_rad) == pytest.approx(row["e_mu_theta"], rel=1e-9)
    assert least_slack_tension_n(1000, row["mu"], wrap_rad) == pytest.approx(
        1000 * row["T2_over_Te"], rel=1e-9
    )


@pytest.mark.parametrize(("friction", "handbook"), [(0.25, 0.84), (0.35, 0.50)])
def test_wrap_factors_at_half_a_turn_as_in_the_cema_handbook_from_memory(friction, handbook):
    assert least_slack_tension_n(1.0, friction, math.pi) == pytest.approx(handbook, abs=0.005)


def test_slack_side_of_the_worked_conveyor():
    slack_n = least_slack_tension_n(RESULT["F_U_N"], GIVEN["mu"], math.radians(GIVEN["wrap"]))

    assert slack_n == pytest.approx(RESULT["T2_slip_N"], rel=1e-6)


def test_braking_drive_needs_no_tension_behind_it_and_no_friction_can_hand_on_nothing():
    assert least_slack_tension_n(-500.0, 0.35, math.pi) == 0
    assert least_slack_tension_n(500.0, 0.0, math.pi) == math.inf


@pytest.mark.parametrize(("friction", "wrap_rad"), [(-0.1, 1.0), (0.3, -1.0), (math.nan, 1.0)])
def test_no_tension_ratio_of_what_is_no_drive(friction, wrap_rad):
    with pytest.raises(ValueError, match="must be from 0 on"):
        tension_ratio(friction, wrap_rad)


def test_a_line_knows_another_tension():
    data: LineData = line(flat_loop(), tension_n=30_000.0).data

    assert data.tensioned(0.5).take_up_n == 15_000.0
    with pytest.raises(ValueError, match="above 0"):
        data.tensioned(0.0)
