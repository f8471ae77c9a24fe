"""The shape of the belt round a defect that travels with it, before and behind its middle.

Closed forms of the infinite tensioned beam on an even bed: with natural curvature kappa0(x) the
belt obeys EI y'''' - T y'' + k y = EI kappa0''. Relative shapes: 1 at the largest offset; the size
comes from `moving`.
"""

import cmath

import numpy as np

from diagnostics.mechanics.nodes import Floats

# Roots nearer to each other than this share are set apart, so that no formula divides 0 by 0.
_LEAST_APART = 1e-5
_STEPS = 400


def splice_shape(
    way_m: Floats, bending_n_m2: float, tension_n: float, centring_n_m2: float
) -> Floats:
    """Offset round a crooked splice as a share of its peak.

    Parameters
    ----------
    way_m : array, shape (n,)
        Way from the splice along the belt, either sign. [m]
    bending_n_m2, tension_n, centring_n_m2 : float
        EI > 0 [N m2], T > 0 [N] and k >= 0 [N/m2] where it passes.

    Returns
    -------
    array, shape (n,)
        1 at the splice, even about it; slightly negative farther off where the bed centres.

    Notes
    -----
    (a exp(-a x) - b exp(-b x)) / (a - b) with a^2, b^2 the roots of r^2 - (T/EI) r + k/EI: the
    answer to kappa0 = phi delta(x). Width about sqrt(EI/T).

    References
    ----------
    Own derivation.
    """
    a, b = _roots(bending_n_m2, tension_n, centring_n_m2)
    x = np.abs(way_m)
    shape: Floats = np.real((a * np.exp(-a * x) - b * np.exp(-b * x)) / (a - b))
    return shape


def camber_shape(
    way_m: Floats,
    length_m: float,
    bending_n_m2: float,
    tension_n: float,
    centring_n_m2: float,
) -> Floats:
    """Offset round a cambered section as a share of its largest.

    Parameters
    ----------
    way_m : array, shape (n,)
        Way from the middle of the section. [m]
    length_m : float
        Of the section, > 0. [m]
    bending_n_m2, tension_n, centring_n_m2 : float
        As for `splice_shape`.

    Notes
    -----
    The splice's answer summed over the section.

    References
    ----------
    Own derivation.
    """
    a, b = _roots(bending_n_m2, tension_n, centring_n_m2)
    half = length_m / 2
    grid = np.linspace(0.0, 2 * length_m, _STEPS)
    largest = float(np.max(np.abs(_summed(grid, half, a, b))))
    shape: Floats = _summed(way_m, half, a, b) / largest
    return shape


def _roots(bending_n_m2: float, tension_n: float, centring_n_m2: float) -> tuple[complex, complex]:
    pull, bed = tension_n / bending_n_m2, centring_n_m2 / bending_n_m2
    apart = cmath.sqrt(pull**2 - 4 * bed)
    if abs(apart) < _LEAST_APART * pull:
        apart = complex(_LEAST_APART * pull)
    return cmath.sqrt((pull + apart) / 2), cmath.sqrt((pull - apart) / 2)


def _summed(x: Floats, half_m: float, a: complex, b: complex) -> Floats:
    result: Floats = _from_middle(x + half_m, a, b) - _from_middle(x - half_m, a, b)
    return result


def _from_middle(x: Floats, a: complex, b: complex) -> Floats:
    """Integral of the splice's answer from 0 to x, but for a factor."""
    far = np.abs(x)
    inner = (np.exp(-b * far) - np.exp(-a * far)) / (a**2 - b**2)
    result: Floats = np.sign(x) * np.real(inner)
    return result
