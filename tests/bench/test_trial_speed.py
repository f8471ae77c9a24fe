"""A draft tried on ten thousand confirmed cases, one core: seconds printed, target 60."""

import time
from dataclasses import replace

import pytest

from diagnostics.inference.trial import try_knowledge
from tests.diagnostics import belts
from tests.diagnostics.confirmed_cases import counts_of, drawn_cases

pytestmark = pytest.mark.bench
CASES = 10_000
TARGET_S = 60


def test_trial_over_ten_thousand_confirmed_cases():
    knowledge = belts.knowledge()
    draft = replace(knowledge, rules=knowledge.rules[1:])
    cases = drawn_cases(knowledge, CASES, conveyors=120)
    unnamed = [(number, frozenset({"belt_camber", "crooked_splice"}), 2) for number in range(50)]
    counts = counts_of(cases, unnamed)

    started = time.perf_counter()
    found = try_knowledge(cases, counts=counts, before=knowledge, after=draft)
    took_s = time.perf_counter() - started

    print(f"\n{found.cases} cases, {len(found.flips)} flips: {took_s:.2f} s of {TARGET_S} s")
    assert found.is_whole
