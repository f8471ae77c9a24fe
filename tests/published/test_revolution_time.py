"""Length and turn of the simplest belt, against a worked figure."""

import math

import pytest

from plant.loop.parts import Part
from plant.loop.path import belt_revolution_time_s, build_loop
from plant.loop.vocabulary import ComponentKind, Run

# Two equal pulleys of 0.8 m, 250 m between their centres, 2.5 m/s: worked by hand from
# 2 × 250 m + pi × 0.8 m.
BELT_LENGTH_M = 502.513
REVOLUTION_S = 201.005


def test_two_equal_pulleys_make_the_worked_length_and_turn():
    pulley = {"diameter_mm": 800.0, "wrap_deg": 180.0}
    arc_m = math.pi * 0.4
    loop = build_loop(
        [
            Part("HEAD", ComponentKind.HEAD_PULLEY, Run.CARRYING, 250.0, **pulley),
            Part("TAIL", ComponentKind.TAIL_PULLEY, Run.RETURN, 500.0 + arc_m, **pulley),
        ]
    )

    assert loop.length_m == pytest.approx(BELT_LENGTH_M, abs=5e-4)
    assert belt_revolution_time_s(loop.length_m, 2.5) == pytest.approx(REVOLUTION_S, abs=5e-4)
