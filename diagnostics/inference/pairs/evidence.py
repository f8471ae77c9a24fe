"""Evidence of two templates at once, their amplitudes integrated out; rank two.

Amplitudes are normal around 0 with each family's usual size.
"""

from collections.abc import Sequence

import numpy as np

from diagnostics.inference.catching import Passing
from diagnostics.inference.pairs.suspects import Placed
from diagnostics.inference.profile import Profile
from diagnostics.mechanics.nodes import Floats


def second_in_place(profile: Profile, placed: Sequence[Placed], firsts: int) -> Floats:
    """What each suspect adds as the second cause beside each of the first ones.

    Parameters
    ----------
    profile : Profile
    placed : sequence of Placed
    firsts : int
        So many of them, from the beginning, are asked for a second one.

    Returns
    -------
    array, shape (firsts, suspects)
        Natural log of the evidence of both over that of the first alone.

    Notes
    -----
    ``ln Z = ln Z_0 + (m' (I + O)^-1 m - ln det(I + O)) / 2`` with O the overlap of the whitened,
    scaled templates and m their match with the readings; averaged over backgrounds.
    """
    shapes, spreads = profile.shapes_of([one.column for one in placed])
    both, alone = [], []
    for white in profile.whitened(shapes):
        scaled = white.shapes * spreads
        overlap = scaled[:, :firsts].T @ scaled
        match, own = scaled.T @ white.readings, 1 + np.sum(scaled**2, axis=0)
        first, second = match[:firsts, None], match[None, :]
        gain, gain_second = own[:firsts, None], own[None, :]
        spread = gain * gain_second - overlap**2
        fit = first**2 * gain_second + second**2 * gain - 2 * overlap * first * second
        both.append(white.log_nothing + 0.5 * (fit / spread - np.log(spread)))
        single = match[:firsts] ** 2 / own[:firsts] - np.log(own[:firsts])
        alone.append(white.log_nothing + 0.5 * single)
    return _log_mean(np.array(both)) - _log_mean(np.array(alone))[:, None]


def beside_moving(
    profile: Profile, placed: Sequence[Placed], passings: Sequence[Passing]
) -> tuple[Floats, Floats]:
    """Each suspect in place beside a defect that travels with the belt.

    Returns
    -------
    log_evidence : array, shape (suspects,)
        Of both, with the remarks, averaged over backgrounds and passings.
    leaning : array, shape (suspects,)
        -1 to 1: to which side the defect drives the belt, right positive.
    """
    shapes, spreads = profile.shapes_of([one.column for one in placed])
    seen = profile.readings.offset_mm
    logs = []
    for one in passings:
        factors = np.linalg.cholesky(profile.covers + np.diag(one.spread_mm**2))
        columns = np.column_stack([seen - one.expected_mm, shapes * spreads])
        white = np.linalg.solve(factors, np.broadcast_to(columns, (len(factors), *columns.shape)))
        left, scaled = white[..., 0], white[..., 1:]
        match = np.einsum("bn,bnk->bk", left, scaled)
        own = 1 + np.sum(scaled**2, axis=1)
        log_nothing = -0.5 * np.sum(left**2, axis=1) - np.sum(
            np.log(np.diagonal(factors, axis1=1, axis2=2)), axis=1
        )
        better = 0.5 * (match**2 / own - np.log(own))
        logs.append(log_nothing[:, None] + better + one.log_weight)
    stacked = np.array(logs) - 0.5 * len(seen) * np.log(2 * np.pi)
    flat = stacked.reshape(-1, len(placed))
    signs = np.repeat([np.sign(one.expected_mm.sum()) for one in passings], len(profile.covers))
    shares = np.exp(flat - flat.max(axis=0))
    leaning: Floats = signs @ (shares / shares.sum(axis=0))
    return _log_mean(flat), leaning


def amplitudes_of(profile: Profile, placed: Sequence[Placed]) -> Floats:
    """Expected amplitudes of suspects together, with their signs. [unit of the family]"""
    shapes, spreads = profile.shapes_of([one.column for one in placed])
    logs, found = [], []
    for white in profile.whitened(shapes):
        scaled = white.shapes * spreads
        gain, match = np.eye(len(placed)) + scaled.T @ scaled, scaled.T @ white.readings
        best = np.linalg.solve(gain, match)
        found.append(best * spreads)
        logs.append(white.log_nothing + 0.5 * (match @ best - np.log(np.linalg.det(gain))))
    shares = np.exp(np.array(logs) - max(logs))
    result: Floats = shares @ np.array(found) / shares.sum()
    return result


def _log_mean(logs: Floats) -> Floats:
    top = logs.max(axis=0)
    result: Floats = top + np.log(np.mean(np.exp(logs - top), axis=0))
    return result
