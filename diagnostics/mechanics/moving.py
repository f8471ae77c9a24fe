"""Closed forms for defects that travel with the belt; they do not slip, so grip plays no part.

A crooked splice turns the belt by an angle at one place. Damage or repairs on one side are a short
camber and act as a splice of the angle that the curvature adds up to; a cambered section is a long
one. Shapes before and behind the defect are in `passing_shape`.
"""

import numpy as np

from diagnostics.mechanics.nodes import Floats


def splice_peak_m_rad(bending_n_m2: float, tension_n: Floats, centring_n_m2: Floats) -> Floats:
    """Largest offset per radian of a crooked splice as it passes.

    Parameters
    ----------
    bending_n_m2 : float
        EI of the belt, > 0. [N m2]
    tension_n, centring_n_m2 : array, shape (n,)
        Tension [N] and centring stiffness per metre of belt [N/m2], >= 0, where it passes.

    Returns
    -------
    array, shape (n,)
        Positive; a turn to the right moves the belt left. [m/rad]

    Notes
    -----
    Y = 1 / (2 sqrt(T/EI + 2 sqrt(k/EI))), from the infinite tensioned beam on a bed with an angle
    at one place. Overstates by up to 2 on loops shorter than about 15 sqrt(EI/T).

    References
    ----------
    Own derivation.
    """
    stiffness = tension_n / bending_n_m2 + 2 * np.sqrt(centring_n_m2 / bending_n_m2)
    return 0.5 / np.sqrt(stiffness)


def camber_peak_m(bending_n_m2: float, tension_n: Floats, centring_n_m2: Floats) -> Floats:
    """Offset per unit of camber [1/m] over a long section: EI / (T + 2 sqrt(EI k)). [m per 1/m]

    Same arguments as `splice_peak_m_rad`; own derivation.
    """
    return bending_n_m2 / (tension_n + 2 * np.sqrt(bending_n_m2 * centring_n_m2))
