"""Spans and stretches of belt against closed forms of the theory of beams and strings."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.line import Line
from diagnostics.mechanics.moving import camber_peak_m, splice_peak_m_rad
from plant.loop.parts import Part
from plant.loop.path import build_loop
from plant.loop.vocabulary import ComponentKind, Run
from tests.diagnostics.mechanics.small_lines import bare_span, flat_loop, line, pulley
from tests.diagnostics.mechanics.test_span import offset_at_skewed_head_m

# Shelton's closed form, its limits and worked spans; data/web_span.json names the source.
WEB_SPAN = json.loads(
    (Path(__file__).parents[2] / "published/data/web_span.json").read_text(encoding="utf-8")
)
SPAN_M, WIDTH_MM, MODULUS_KN_M = 30.0, 1000.0, 5000.0
BENDING_N_M2 = MODULUS_KN_M * 1000 * (WIDTH_MM / 1000) ** 3 / 12


def ratio(u: float) -> float:
    """y_L / (theta L) of a free span over a skewed roller, computed by the model."""
    offset = offset_at_skewed_head_m(
        span_m=SPAN_M,
        tension_n=BENDING_N_M2 * (u / SPAN_M) ** 2,
        width_mm=WIDTH_MM,
        modulus_kn_m=MODULUS_KN_M,
        theta_rad=0.002,
    )
    return offset / (0.002 * SPAN_M)


def test_slack_stiff_span_reaches_sheltons_lower_limit():
    assert ratio(0.001) == pytest.approx(WEB_SPAN["limits"]["small"], rel=1e-5)
    # Series for small u: 2/3 + u^2 / 90.
    assert ratio(0.3) == pytest.approx(2 / 3 + 0.3**2 / 90, rel=1e-4)


def test_tight_limp_span_nears_sheltons_upper_limit():
    assert ratio(40.0) == pytest.approx(1 - 1 / 40, rel=2e-3)
    assert WEB_SPAN["limits"]["large"] > ratio(40.0) > ratio(20.0) > ratio(10.0)


@pytest.mark.parametrize("span", WEB_SPAN["spans"], ids=lambda one: f"{one['y_mm']:.2f} mm")
def test_worked_spans_over_a_skewed_roller_reproduce_shelton_1968(span):
    offset = offset_at_skewed_head_m(
        span_m=span["span_m"],
        tension_n=span["tension_N"],
        width_mm=1000 * span["width_m"],
        modulus_kn_m=span["modulus_times_thickness_N_per_m"] / 1000,
        theta_rad=span["theta_rad"],
    )

    assert 1000 * offset == pytest.approx(span["y_mm"], rel=1e-4)


# Superposition of Shelton's spans: behind a skewed roller and a square one at the same distance the
# web stands at theta L, whatever its stiffness.
@pytest.mark.parametrize("u", [0.1, 1.0, 3.0, 10.0])
def test_skewed_roller_then_square_roller_shift_by_theta_times_span(u):
    first_m = SPAN_M + math.pi * 0.3
    loop = build_loop(
        [
            pulley("HEAD", ComponentKind.HEAD_PULLEY, Run.CARRYING, SPAN_M, (0, -180)),
            pulley("SNUB", ComponentKind.SNUB_PULLEY, Run.RETURN, first_m + SPAN_M, (180, 190)),
            Part(
                "R",
                ComponentKind.VEE_RETURN_IDLERS,
                Run.RETURN,
                first_m + SPAN_M + 1.0,
                1.0,
                1200,
                True,
            ),
            pulley("TAIL", ComponentKind.TAIL_PULLEY, Run.RETURN, first_m + 1240.0, (180, 0)),
        ]
    )
    one = evenly_tensioned(loop, BENDING_N_M2 * (u / SPAN_M) ** 2, MODULUS_KN_M)
    skewed, square = one.line.nodes.pulleys[:2]
    theta_rad = 0.002
    forcing = np.zeros(one.size)
    forcing[[2 * skewed.node_in, 2 * skewed.node_out + 1]] = theta_rad

    solved = one.solve(forcing)

    assert solved[2 * square.node_in] == pytest.approx(theta_rad * SPAN_M, rel=1e-5)


def evenly_tensioned(loop, tension_n: float, modulus_kn_m: float, **figures) -> LateralModel:
    of_one_tension = line(loop, modulus_kn_m=modulus_kn_m, vee_deg=10, **figures)
    of_one_tension.__dict__["tension_n"] = np.full(len(of_one_tension.nodes.s_m), tension_n)
    return LateralModel(of_one_tension)


def pushed_span(tension_n: float, modulus_kn_m: float, at_m: float) -> float:
    """Offset where a free span, pushed by 10 N at one place, meets a square head. [m]"""
    one = evenly_tensioned(bare_span(SPAN_M), tension_n, modulus_kn_m)
    forcing = np.zeros(one.size)
    forcing[2 * int(np.argmin(np.abs(one.line.nodes.s_m - at_m)))] = 10.0
    return float(one.solve(forcing)[2 * one.line.nodes.pulleys[0].node_in])


def test_span_without_tension_is_a_beam():
    # Cantilever of length L pushed by P at a, its end turned back to square without a moment:
    # P a^2 (3 L - a) / 6 EI - P a^2 L / 3 EI. Textbook cantilever formulas.
    at_m = 20.0

    offset = pushed_span(1e-3, MODULUS_KN_M, at_m)

    assert offset == pytest.approx(10.0 * at_m**2 * (SPAN_M - at_m) / (6 * BENDING_N_M2), rel=1e-4)


def test_span_without_stiffness_is_a_string():
    # A string from a fixed end, pushed by P at a, runs at slope P / T there and level behind. What
    # stiffness is left holds the first sqrt(EI / T) of it square.
    at_m, tension_n, modulus_kn_m = 20.0, 400_000.0, 40.0

    offset = pushed_span(tension_n, modulus_kn_m, at_m)

    square_m = math.sqrt(modulus_kn_m * 1000 / 12 / tension_n)
    assert offset == pytest.approx(10.0 * (at_m - square_m) / tension_n, rel=0.01)


@pytest.fixture(params=[0.0, 20_000.0, 400_000.0])
def bedded(request) -> LateralModel:
    """A long carrying run on an even bed that grips nothing, at three tensions."""
    of_bed: Line = line(flat_loop(400.0), modulus_kn_m=40_000.0, load_kg_m=0.0)
    rolls = of_bed.nodes.rolls
    of_bed.__dict__["tension_n"] = np.full(len(of_bed.nodes.s_m), max(request.param, 1e-3))
    of_bed.__dict__["grip_n_rad"] = np.zeros(len(rolls))
    on_bed = 500.0 * of_bed.nodes.roll_spacing_m
    of_bed.__dict__["centring_n_m"] = (on_bed, np.zeros(len(rolls)))
    return LateralModel(of_bed)


def figures_of(one: LateralModel) -> tuple[float, float, float]:
    return one.line.data.belt.bending_n_m2, float(one.line.tension_n[0]), 500.0


def test_pushed_belt_on_a_bed_is_the_beam_on_an_elastic_foundation(bedded):
    # Hetenyi 1946, infinite beam with tension, from memory; without it P lambda / (2 k) with
    # lambda = (k / 4 EI)^(1/4).
    bending, tension, bed = figures_of(bedded)
    node = int(np.argmin(np.abs(bedded.line.nodes.s_m - 200.0)))
    forcing = np.zeros(bedded.size)
    forcing[2 * node] = 100.0

    peak = bedded.solve(forcing)[2 * node]

    wanted = 100.0 / (2 * math.sqrt(bed * (tension + 2 * math.sqrt(bed * bending))))
    assert peak == pytest.approx(wanted, rel=2e-3)
    if tension < 1:
        lam = (bed / (4 * bending)) ** 0.25
        assert wanted == pytest.approx(100.0 * lam / (2 * bed), rel=1e-6)


def test_crooked_splice_on_a_bed_has_the_peak_of_the_closed_form(bedded):
    bending, tension, bed = figures_of(bedded)
    first = int(np.argmin(np.abs(bedded.line.nodes.s_m - 200.0)))
    element_m = bedded.line.nodes.s_m[first + 1] - bedded.line.nodes.s_m[first]
    angle_rad = 0.01
    # An angle in the middle of an element: EI phi times the curvatures of its slope functions.
    forcing = np.zeros(bedded.size)
    forcing[[2 * first + 1, 2 * first + 3]] = np.array([-1, 1]) * bending * angle_rad / element_m

    offsets = bedded.solve(forcing)[0::2]

    # Between the nodes the belt runs on straight to the kink, half of the angle to either side.
    peak = offsets[np.argmax(np.abs(offsets))] - angle_rad / 2 * element_m / 2
    wanted = -angle_rad * float(splice_peak_m_rad(bending, np.array(tension), np.array(bed)))
    assert peak == pytest.approx(wanted, rel=0.03)


def test_no_cambered_section_moves_the_belt_farther_than_the_closed_form(bedded):
    bending, tension, bed = figures_of(bedded)
    s_m = bedded.line.nodes.s_m
    most = float(camber_peak_m(bending, np.array(tension), np.array(bed)))
    found = []
    for length_m in (10.0, 20.0, 40.0, 80.0):
        # Even curvature: the moments at the ends of the section alone are left of it.
        ends = [int(np.argmin(np.abs(s_m - at))) for at in (200 - length_m / 2, 200 + length_m / 2)]
        forcing = np.zeros(bedded.size)
        forcing[[2 * ends[0] + 1, 2 * ends[1] + 1]] = np.array([-1, 1]) * bending
        found.append(float(np.max(np.abs(bedded.solve(forcing)[0::2]))))

    assert 0.6 * most < max(found) <= 1.01 * most
