"""How far a fault moves the belt at most, against the belt's path on the whole loop."""

import numpy as np
import pytest

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.fault_families import FaultFamilies, fault_table
from diagnostics.inference.vocabulary import LoadState
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.peaks import SOLVED, peak_offsets_mm
from tests.diagnostics.belts import GALLERY, INCLINE, conveyor


@pytest.fixture(scope="module")
def model() -> LateralModel:
    return models_of(conveyor(INCLINE), [LoadState.LOADED])[LoadState.LOADED]


def test_peak_of_a_pulley_is_the_largest_offset_of_the_solved_belt(model):
    families = [one for one in fault_table(model).candidates if one.name == "skew TAIL"]
    offsets_m = model.solve(families[0].of(0, 1.0))[::2]

    peaks = peak_offsets_mm(model, families)

    assert peaks[0] == pytest.approx(1000 * np.abs(offsets_m).max())
    assert np.all(peaks > 0)


def test_peaks_between_those_solved_are_close_to_their_own(model):
    family = next(one for one in fault_table(model).candidates if one.name == "idlers carrying")
    count = len(family.position_m)
    own = [1000 * np.abs(model.solve(family.of(one, 1.0))[::2]).max() for one in range(count)]

    peaks = peak_offsets_mm(model, [family])

    assert count > 2 * SOLVED
    assert len(peaks) == count
    # At the ends of the run, near the pulleys, the peak changes within a few idlers.
    apart = np.abs(peaks / own - 1)
    assert np.median(apart) < 0.1
    assert np.percentile(apart, 90) < 0.4


def test_the_load_state_in_which_the_belt_moves_farther_counts():
    facts = conveyor(GALLERY)
    place = np.array([10.0, 20.0])
    peaks = {}
    for loads in ([LoadState.EMPTY], [LoadState.LOADED], list(LoadState)):
        models = models_of(facts, loads)
        seen = tuple(loads[number % len(loads)] for number in range(2))
        peaks[len(loads), loads[0]] = FaultFamilies(facts, models, place, seen).peaks_mm

    both = peaks[2, next(iter(LoadState))]
    alone = np.maximum(peaks[1, LoadState.EMPTY], peaks[1, LoadState.LOADED])

    assert both == pytest.approx(alone)
