"""The table that a telephone takes along: how large it gets, what it refuses, what it says.

Whether a telephone ranks by it as the server does is tested in tests/browser.
"""

import json
import struct
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.inference.evidence import ConveyorFacts, Sighting
from diagnostics.inference.features import conveyor_words
from diagnostics.inference.onset_place import onset_words
from diagnostics.inference.places import is_possible
from diagnostics.inference.pocket.curves import knots
from diagnostics.inference.pocket.onsets import onsets_told
from diagnostics.inference.pocket.table import MOST_BYTES, pocket_table
from diagnostics.inference.vocabulary import LoadState
from plant.loop.vocabulary import Run
from tests.bench import measuring
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, FEEDER, GALLERY, conveyor
from tests.diagnostics.pocket.single_sets import singly_registered


def table(facts: ConveyorFacts) -> bytes:
    return pocket_table(facts, belts.knowledge())


def header_of(content: bytes) -> dict[str, Any]:
    _mark, length = struct.unpack("<II", content[:8])
    found: dict[str, Any] = json.loads(content[8 : 8 + length])
    return found


# The promise of the walk-down on a phone, whatever the conveyor.
PROMISED_BYTES = 100_000


@pytest.mark.parametrize("idlers", [600, 15_000])
def test_long_belts_keep_to_the_promised_size(idlers):
    spacings_m = measuring.USUAL_SPACINGS_M if idlers == 600 else measuring.OVERLAND_SPACINGS_M
    facts = measuring.conveyor_of(idlers, spacings_m)

    size = len(table(facts))

    print(f"\n{idlers} idlers, {facts.loop.length_m:.0f} m: {size} bytes")
    assert MOST_BYTES <= PROMISED_BYTES
    assert size <= PROMISED_BYTES


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_belts_of_every_kind_keep_to_the_promised_size(layout):
    facts = conveyor(layout)

    assert len(table(facts)) <= PROMISED_BYTES
    assert len(table(singly_registered(facts))) <= PROMISED_BYTES


def test_what_cannot_fit_is_refused_and_named():
    overland = singly_registered(measuring.conveyor_of(15_000, measuring.OVERLAND_SPACINGS_M))

    with pytest.raises(ValueError, match=r"at most 100000 bytes; that of B1 takes \d{6,}"):
        table(overland)


def test_the_same_conveyor_gives_the_same_bytes():
    assert table(conveyor(GALLERY)) == table(conveyor(GALLERY))


def test_arrays_lie_inside_the_buffer_at_multiples_of_eight():
    content = table(conveyor(GALLERY))
    header = header_of(content)
    _mark, length = struct.unpack("<II", content[:8])

    for kind, start, count in header["arrays"].values():
        assert start % 8 == 0
        assert (8 + length) % 8 == 0
        assert 8 + length + start + int(kind[1]) * count <= len(content)


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_every_possible_cause_is_in_the_table_and_no_other(layout):
    facts, causes = conveyor(layout), belts.knowledge().causes.values()

    told = header_of(table(facts))["causes"]

    wanted = {one.slug for one in causes if is_possible(one, facts)}
    assert {one["slug"] for one in told} == wanted


def test_rules_that_ask_for_what_the_conveyor_lacks_stay_behind():
    facts = conveyor(FEEDER)
    asking = [one for one in belts.knowledge().rules if "conveyor" in one.when]
    lacking = [one for one in asking if not one.when["conveyor"] & conveyor_words(facts)]

    told = header_of(table(facts))["rules"]

    assert lacking
    assert len(told) <= len(belts.knowledge().rules) - len(lacking)
    assert all("conveyor" not in one["when"] for one in told)


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_stretches_of_onsets_say_what_the_engine_says_at_every_place(layout):
    facts = conveyor(layout)
    told = onsets_told(facts)
    rng = np.random.default_rng(3)
    length_m = facts.loop.length_m
    places = [*rng.uniform(0, length_m, 300), *(one.position_m for one in facts.loop.stations)]

    for run in Run:
        for at_m in places:
            off = Sighting("off", run, float(at_m), LoadState.LOADED, offset_mm=60.0)
            other_m = (float(at_m) + 10.0) % length_m
            centred = Sighting("centred", run, other_m, LoadState.LOADED, offset_mm=0.0)
            words = next(words for last_m, words in told[run.value] if at_m <= last_m)
            assert set(words) == onset_words(facts, (off, centred)), (run, at_m)


@given(st.lists(st.floats(-100, 100), min_size=1, max_size=60), st.floats(0.01, 10))
def test_lines_between_knots_keep_within_the_error_allowed(values, within):
    x, y = np.arange(len(values), dtype=float), np.array(values)

    kept = knots(x, y, within)

    assert {kept[0], kept[-1]} == {0, len(values) - 1}
    assert np.abs(np.interp(x, x[kept], y[kept]) - y).max() <= within + 1e-9
