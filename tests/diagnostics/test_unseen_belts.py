"""The engine on belts it has never seen: simulated by other means, with fresh conveyors.

Run it alone to read the rates: `pytest -m slow -s tests/diagnostics/test_unseen_belts.py`.
"""

import json
import math

import numpy as np
import pytest

from diagnostics import knowledge_files
from diagnostics.inference.case_file import read_case_file
from diagnostics.inference.diagnosis import diagnose
from tests.simulator.cases import simulate

CASES = 120
# Chance alone names the class first in one of nine and among three in one of three.
FIRST_FLOOR, THREE_FLOOR = 0.6, 0.85


@pytest.mark.slow
def test_unseen_belts_are_diagnosed_far_better_than_by_chance(capsys):
    rng = np.random.default_rng(20261125)
    cases = [simulate(rng, number) for number in range(CASES)]
    first = three = 0
    log_right = 0.0

    for case, read in zip(cases, read_case_file(json.dumps(cases).encode()), strict=True):
        classes = diagnose(read.evidence, knowledge_files.current()).classes
        order = [one.cause_class.value for one in classes]
        true = case["truth"][0]["class"]
        first += order[0] == true
        three += true in order[:3]
        log_right += math.log(max(classes[order.index(true)].probability, 1e-9))

    with capsys.disabled():
        print(
            f"\nunseen belts, {CASES} cases: first {first / CASES:.2f}, among three "
            f"{three / CASES:.2f}, mean log probability {log_right / CASES:.2f}"
        )
    assert first / CASES >= FIRST_FLOOR
    assert three / CASES >= THREE_FLOOR
