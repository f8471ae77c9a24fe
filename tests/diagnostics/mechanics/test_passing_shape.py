"""The shape of the belt round what travels, against a finite-difference solution of the beam."""

import numpy as np
import pytest
from scipy.sparse import diags_array
from scipy.sparse.linalg import spsolve

from diagnostics.mechanics.moving import splice_peak_m_rad
from diagnostics.mechanics.passing_shape import camber_shape, splice_shape

# EI [N m2], T [N], k [N/m2]: tight on flat rolls, empty and loaded trough, stiff and slack.
BELTS = [(7e5, 30e3, 0.0), (7e5, 30e3, 400.0), (7e5, 30e3, 5000.0), (4e6, 10e3, 5000.0)]
STEP_M = 0.05
WAY_M = np.arange(-120.0, 120.0 + STEP_M / 2, STEP_M)


def bent_by(curvature: np.ndarray, bending: float, tension: float, centring: float) -> np.ndarray:
    """EI y'''' - T y'' + k y = EI kappa0'' by central differences, straight far away."""
    n, h = len(WAY_M), STEP_M
    second = diags_array([1.0, -2.0, 1.0], offsets=[-1, 0, 1], shape=(n, n)) / h**2
    whole = bending * (second @ second) - tension * second
    # On flat rolls nothing holds the far ends; a trace of centring does.
    held = diags_array([np.full(n, max(centring, 1e-3))], offsets=[0], shape=(n, n))
    return spsolve((whole + held).tocsc(), bending * (second @ curvature))


@pytest.mark.parametrize(("bending", "tension", "centring"), BELTS)
def test_a_crooked_splice_bends_the_belt_as_the_beam_equation_says(bending, tension, centring):
    turn = np.where(np.abs(WAY_M) < STEP_M / 2, 1 / STEP_M, 0.0)
    solved = bent_by(turn, bending, tension, centring)

    peak = splice_peak_m_rad(bending, np.array([tension]), np.array([centring]))[0]
    computed = -peak * splice_shape(WAY_M, bending, tension, centring)

    near = np.abs(WAY_M) < 40
    assert computed[near] == pytest.approx(solved[near], abs=0.02 * peak)


@pytest.mark.parametrize(("bending", "tension", "centring"), BELTS)
def test_a_cambered_section_has_the_shape_of_the_beam_equation(bending, tension, centring):
    solved = bent_by(np.where(np.abs(WAY_M) <= 15, 1.0, 0.0), bending, tension, centring)

    shape = camber_shape(WAY_M, 30.0, bending, tension, centring)

    near = np.abs(WAY_M) < 50
    largest = np.abs(solved).max()
    assert -largest * shape[near] == pytest.approx(solved[near], abs=0.02 * largest)


def test_the_shape_is_as_wide_as_bending_against_tension():
    bending, tension = 7e5, 30e3
    width = np.sqrt(bending / tension)

    shape = splice_shape(np.array([0.0, width, -width]), bending, tension, 0.0)

    # Identity: exp(-x / width) where nothing centres the belt.
    assert shape == pytest.approx([1.0, np.exp(-1), np.exp(-1)], rel=1e-4)


def test_equal_roots_break_nothing():
    bending, tension = 1e6, 20e3
    centring = tension**2 / (4 * bending)

    shape = splice_shape(WAY_M, bending, tension, centring)

    assert np.isfinite(shape).all()
    assert np.abs(shape).max() == pytest.approx(1.0, rel=1e-4)
