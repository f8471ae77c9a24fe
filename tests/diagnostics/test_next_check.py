"""What to look at next: information by identity, order, and what is not asked twice."""

import pytest

from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import FindingFact
from diagnostics.inference.next_look.checks import MOST_CHECKS, binary_information
from diagnostics.inference.vocabulary import LoadState
from plant.loop.vocabulary import Side
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, GALLERY, INCLINE, conveyor, evidence, walk
from tests.diagnostics.test_trade_table import timed


def checks(one):
    return diagnose(one, belts.knowledge()).next_checks


# Capacity of the binary symmetric channel: 1 - h(w) at even odds (identity; Shannon 1948).
@pytest.mark.parametrize(
    ("probability", "wrong", "bits"),
    [
        (0.5, 0.0, 1.0),
        (0.5, 0.11, 0.5),
        (0.5, 0.5, 0.0),
        (0.0, 0.1, 0.0),
        (1.0, 0.1, 0.0),
        (0.25, 0.0, 0.811278),
    ],
)
def test_shannon_a_yes_or_no_check_tells_as_much_as_its_channel_carries(probability, wrong, bits):
    assert binary_information(probability, wrong) == pytest.approx(bits, abs=1e-3)


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_checks_without_a_stop_come_first_then_by_information_per_minute(layout):
    facts = conveyor(layout)

    found = checks(evidence(facts, walk(facts, facts.loop.head_m * 0.6)))

    assert 0 < len(found) <= MOST_CHECKS
    stops = [one.needs_stop for one in found]
    assert stops == sorted(stops)
    for group in (False, True):
        rates = [one.information / one.minutes for one in found if one.needs_stop is group]
        assert rates == sorted(rates, reverse=True)
    assert all(one.information > 0 for one in found)


def test_the_first_suspicions_confirming_check_is_among_them():
    facts = conveyor(GALLERY)
    answer = diagnose(evidence(facts, walk(facts, 130)), belts.knowledge())

    cause = belts.knowledge().causes[answer.ranked[0].cause]

    assert any(one.what == cause.confirm.what for one in answer.next_checks)


def test_a_check_that_was_made_is_not_asked_again():
    facts = conveyor(GALLERY)
    seen = walk(facts, 130)
    cause = belts.knowledge().causes[
        diagnose(evidence(facts, seen), belts.knowledge()).ranked[0].cause
    ]

    found = checks(evidence(facts, seen, findings=(FindingFact(cause.slug, False),)))

    assert all(one.what != cause.confirm.what for one in found)


def test_the_other_load_state_is_asked_for_once():
    facts = conveyor(GALLERY)
    # Few enough to leave something open.
    loaded = walk(facts, 130)[::4]
    both = walk(facts, 130, loads=(LoadState.LOADED, LoadState.EMPTY))

    asked = [one for one in checks(evidence(facts, loaded)) if "with the belt empty" in one.what]
    not_asked = [one for one in checks(evidence(facts, both)) if "with the belt" in one.what]

    assert len(asked) == 1
    assert asked[0].needs_stop is False
    assert not_asked == []


def test_a_timed_look_is_asked_for_only_until_it_was_made():
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)

    before = [one for one in checks(evidence(facts, seen[:6])) if "turns of the belt" in one.what]
    after = checks(evidence(facts, seen[:6], timed_looks=(timed(facts, Side.LEFT, 60.0),)))

    assert len(before) == 1
    # Three turns of the belt and setting up.
    turn_min = facts.belt.length_m / facts.speed_mps / 60
    assert before[0].minutes == pytest.approx(3 * turn_min + 3, abs=0.1)
    assert not [one for one in after if "Stand at one station" in one.what]


def test_stations_already_read_are_not_proposed_in_the_same_state():
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)
    read = {one.station for one in seen}

    found = [one for one in checks(evidence(facts, seen)) if one.what.startswith("Look where")]

    assert found
    assert all(one.where.split(" at ")[0] not in read for one in found)
