"""How far candidate faults move the belt where they move it most, anywhere on the loop."""

from collections.abc import Iterable

import numpy as np

from diagnostics.mechanics.candidates import Candidates
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.nodes import Floats

# Candidates of a family that are solved for; their neighbours lie between them.
SOLVED = 20


def peak_offsets_mm(model: LateralModel, candidates: Iterable[Candidates]) -> Floats:
    """Largest offset on the whole loop per unit of amplitude.

    Parameters
    ----------
    model : LateralModel
    candidates : iterable of Candidates
        Families of one model.

    Returns
    -------
    array, shape (places of all families,)
        >= 0, family by family. [mm per unit]

    Notes
    -----
    At most `SOLVED` of a family are solved for, closer to each other at both ends: along a run
    the peak changes slowly, with tension and centring, beside a pulley within a few idlers. The
    others are interpolated.
    """
    return np.concatenate([_peaks_of(model, one) for one in candidates])


def _peaks_of(model: LateralModel, family: Candidates) -> Floats:
    places = len(family.position_m)
    even = np.linspace(0.0, 1.0, min(places, SOLVED))
    if places > SOLVED:
        even = (1 - np.cos(np.pi * even)) / 2
    chosen = np.unique((even * (places - 1)).round().astype(int))
    forcing = family.matrix[chosen].toarray()
    peaks = [1000 * np.abs(model.solve(one)[::2]).max() for one in forcing]
    result: Floats = np.interp(np.arange(places), chosen, peaks)
    return result
