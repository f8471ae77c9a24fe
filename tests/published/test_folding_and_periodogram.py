"""Folding a timed look, held against the least-squares periodogram of scipy on the same data.

scipy.signal.lombscargle (N. R. Lomb 1976, Astrophys. Space Sci. 39, 447; J. D. Scargle 1982,
Astrophys. J. 263, 835) fits a sinusoid to samples at any times. Where the wander is a sinusoid
once round, its peak is the revolution time; a bump on a few per cent of the belt it hardly sees.
"""

import numpy as np
import pytest
from scipy.signal import lombscargle

from diagnostics.inference.watching.reading import read_watch
from diagnostics.inference.watching.samples import of_log
from diagnostics.inference.watching.sharing import fold_of, shares_of
from tests.diagnostics.watching.watches import BELT, LENGTH_M, SPEED_MPS, TURN_S, a_log

TRIED_S = np.linspace(97.5, 102.5, 201)


def irregular(seed: int, turns: float) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return np.sort(rng.uniform(0, turns * TURN_S, 1500))


def best_of_periodogram(times, offsets) -> float:
    power = lombscargle(times, offsets - offsets.mean(), 2 * np.pi / TRIED_S)
    return float(TRIED_S[np.argmax(power)])


def best_of_fold(times, offsets) -> float:
    samples = of_log(tuple(offsets), tuple(times), None)
    assert samples is not None
    shares = [shares_of(fold_of(samples, one, LENGTH_M)) for one in TRIED_S]
    return float(TRIED_S[np.argmax([0 if one is None else one.travelling for one in shares])])


@pytest.mark.parametrize("turn_s", [98.4, 100.0, 101.7])
def test_fold_of_a_sinusoidal_wander_is_best_where_lomb_and_scargle_peak(turn_s):
    times = irregular(2, 12)
    rng = np.random.default_rng(5)
    offsets = 20 * np.sin(2 * np.pi * times / turn_s) + rng.normal(0, 4, len(times))

    by_scipy, by_fold = best_of_periodogram(times, offsets), best_of_fold(times, offsets)

    assert by_scipy == pytest.approx(turn_s, abs=0.3)
    assert by_fold == pytest.approx(by_scipy, abs=0.5)


def test_a_narrow_bump_is_found_by_the_fold_where_the_first_harmonic_has_hardly_any_of_it():
    look = a_log(40.0, bump_mm=20.0, over_m=0.0, turns=5, splices=0, turn_s=101.2, seed=4)
    times, offsets = np.array(look.times_s), np.array(look.offsets_mm)

    turn = read_watch(look, BELT, SPEED_MPS).turn

    # Share of the bump's variance in one harmonic of amplitude 2 w/T A: small for a narrow bump.
    power = lombscargle(
        times, offsets - offsets.mean(), np.array([2 * np.pi / 101.2]), normalize=True
    )
    assert float(np.squeeze(power)) < 0.15
    assert abs(best_of_periodogram(times, offsets) - 101.2) > 0.5
    assert turn.seconds == pytest.approx(101.2, abs=0.4)
    assert turn.lower_s <= 101.2 <= turn.upper_s
