"""One free span between rollers against the closed form of the stretched beam."""

import numpy as np
import pytest

from diagnostics.mechanics.lateral import LateralModel
from tests.diagnostics.mechanics.small_lines import bare_span, line

# Shelton, J. J., Lateral dynamics of a moving web, thesis, Oklahoma State University 1968: steady
# offset at a roller out of square, y_L / (theta L) over u = L sqrt(T / EI). Values of
# (u - tanh u) / (u (1 - sech u)); re-computed from the closed form by two other methods.
SHELTON = {
    0.1: 0.6667777381,
    0.5: 0.6694198479,
    1.0: 0.6773937747,
    2.0: 0.7055131877,
    3.0: 0.7420182133,
    5.0: 0.8109458838,
    10.0: 0.9000817277,
    20.0: 0.9500000039,
}


def offset_at_skewed_head_m(
    *, span_m: float, tension_n: float, width_mm: float, modulus_kn_m: float, theta_rad: float
) -> float:
    """Offset where the belt meets a head pulley whose heading is theta, arriving central."""
    bare = line(bare_span(span_m), width_mm=width_mm, modulus_kn_m=modulus_kn_m, vee_deg=10)
    # Shelton's span has one tension; the conveyor's rises with the resistances.
    bare.__dict__["tension_n"] = np.full(len(bare.nodes.s_m), tension_n)
    model = LateralModel(bare)
    head = bare.nodes.pulleys[0]
    forcing = np.zeros((model.size, 1))
    forcing[2 * head.node_in] = theta_rad
    return float(model.solve(forcing)[2 * head.node_in, 0])


@pytest.mark.parametrize(("u", "ratio"), SHELTON.items())
def test_span_over_a_skewed_roller_reproduces_shelton_1968(u: float, ratio: float) -> None:
    span_m, width_mm, modulus_kn_m, theta_rad = 30.0, 1000.0, 5000.0, 0.002
    bending = modulus_kn_m * 1000 * (width_mm / 1000) ** 3 / 12
    tension_n = bending * (u / span_m) ** 2

    offset = offset_at_skewed_head_m(
        span_m=span_m,
        tension_n=tension_n,
        width_mm=width_mm,
        modulus_kn_m=modulus_kn_m,
        theta_rad=theta_rad,
    )

    assert offset / (theta_rad * span_m) == pytest.approx(ratio, rel=1e-4)


def test_worked_span_of_a_conveyor_belt_reproduces_shelton_1968() -> None:
    # Same source; belt 1.2 m wide, span 3 m, 30 kN, 8 MN/m, 5 mrad: 10.0387 mm.
    offset = offset_at_skewed_head_m(
        span_m=3.0, tension_n=30_000, width_mm=1200, modulus_kn_m=8000, theta_rad=0.005
    )

    assert offset * 1000 == pytest.approx(10.0387, abs=6e-4)
