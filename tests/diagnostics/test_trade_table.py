"""The table of the trade: what the walk shows, and where the cause is.

Common practice, no source; one test a row, to both sides, on conveyors of different kinds. The
cause is among the first three suspicions, each of another class, and the row's sentence is among
its reasons.
"""

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import ConveyorFacts, Evidence, Tap, TimedLook
from diagnostics.inference.feature_words import Remark
from diagnostics.inference.vocabulary import (
    CauseClass,
    LoadState,
    Pattern,
    Persistence,
    TapEvent,
    TimedLookKind,
)
from plant.loop.path import belt_revolution_time_s
from plant.loop.vocabulary import Side
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, WITH_TAKE_UP_PULLEY, Layout


def place_of(facts: ConveyorFacts, station: str) -> float:
    found = facts.loop.station_named(station)
    assert found is not None
    return found.position_m


@dataclass(frozen=True)
class Row:
    """`onset_m` is where the walk goes off; `reach_m` how far it stays off."""

    rule: str
    onset_m: Callable[[ConveyorFacts], float]
    causes: frozenset[str]
    layouts: tuple[Layout, ...] = EVERY_KIND
    reach_m: Callable[[ConveyorFacts], float | None] = lambda _: None


def middle_of_first_return(facts: ConveyorFacts) -> float:
    """Half-way from the head to the next pulley, well away from both."""
    after = next(one for one in facts.loop.pulleys if one.first_m > facts.loop.head_m)
    return (facts.loop.head_m + after.first_m) / 2


# "An idler": of whatever kind stands there.
RETURN_IDLERS = frozenset(
    {
        "return_idler_skewed",
        "return_idler_dropped",
        "self_aligning_idler_stuck",
        "return_structure_damaged",
    }
)
ROWS = [
    Row(
        "row-tail-arrives-off",
        lambda facts: facts.loop.tail_m - 7.0,
        frozenset(
            {
                "return_idler_skewed",
                "self_aligning_idler_stuck",
                "tail_pulley_skewed",
                "tail_pulley_build_up",
            }
        ),
    ),
    Row(
        "row-before-skirts",
        lambda facts: 0.5,
        frozenset({"tail_pulley_skewed", "tail_pulley_build_up", "screw_take_up_uneven"}),
    ),
    Row(
        "row-past-skirts",
        lambda facts: 7.0,
        frozenset({"off_centre_loading"}),
        # What the load pushes stays pushed as long as the load lies on the belt.
        reach_m=lambda facts: 2 * facts.loop.head_m,
    ),
    Row(
        "row-carrying",
        lambda facts: facts.loop.head_m / 2,
        frozenset(
            {"structure_bowed", "carrying_idlers_skewed", "self_aligning_idler_stuck_carrying"}
        ),
    ),
    Row(
        "row-past-head",
        lambda facts: facts.loop.head_m + 4.0,
        frozenset(
            {
                "head_lagging_worn_one_side",
                "head_lagging_lost",
                "head_pulley_bearing_failing",
                "head_pulley_skewed",
            }
        ),
    ),
    Row(
        "row-return",
        middle_of_first_return,
        RETURN_IDLERS,
    ),
    Row(
        "row-take-up-in",
        lambda facts: place_of(facts, "BEND1") + 1.0,
        frozenset(
            {
                "bend_pulley_build_up",
                "bend_pulley_bearing_failing",
                "bend_pulley_skewed",
                "take_up_carriage_skewed",
            }
        ),
        WITH_TAKE_UP_PULLEY,
    ),
    Row(
        "row-take-up-out",
        lambda facts: place_of(facts, "TAKEUP") + 1.0,
        frozenset(
            {
                "take_up_pulley_worn_one_side",
                "take_up_carriage_skewed",
                "take_up_carriage_binding",
                "take_up_guides_bent",
            }
        ),
        WITH_TAKE_UP_PULLEY,
    ),
    Row(
        "row-last-return",
        lambda facts: place_of(facts, "BEND2") + 40.0,
        RETURN_IDLERS,
        WITH_TAKE_UP_PULLEY,
    ),
]


def sentence_of(rule: str) -> str:
    return next(one.says for one in belts.knowledge().rules if one.slug == rule)


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize(
    ("row", "layout"),
    [(row, layout) for row in ROWS for layout in row.layouts],
    ids=lambda one: one.rule if isinstance(one, Row) else one.tag,
)
def test_where_the_walk_goes_off_names_the_rows_cause(row, layout, side):
    facts = belts.conveyor(layout)
    seen = belts.walk(facts, row.onset_m(facts), side=side, reach_m=row.reach_m(facts))

    answer = diagnose(belts.evidence(facts, seen), belts.knowledge())

    named = [one for one in belts.first_of_classes(answer) if one.cause in row.causes]
    assert named, [one.cause for one in belts.first_of_classes(answer)]
    assert any(sentence_of(row.rule) in reason for one in named for reason in one.reasons)
    assert named[0].side is side
    assert answer.pattern in (Pattern.FIXED, Pattern.LOAD_DEPENDENT)


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_always_at_the_same_place_is_a_component_or_the_structure(layout, side):
    facts = belts.conveyor(layout)
    seen = belts.walk(facts, facts.loop.head_m / 2, side=side, said=Persistence.STEADY)

    answer = diagnose(belts.evidence(facts, seen), belts.knowledge())

    first = answer.ranked[0]
    assert first.cause_class not in (CauseClass.BELT_SPLICE, CauseClass.BELT_SECTION)
    assert any(sentence_of("row-same-place") in reason for reason in first.reasons)


def timed(facts: ConveyorFacts, side: Side, ahead_m: float) -> TimedLook:
    """Four turns; what lies `ahead_m` of the reference splice moves the belt over."""
    turn_s = belt_revolution_time_s(facts.belt.length_m, facts.speed_mps)
    over = TapEvent.OVER_LEFT if side is Side.LEFT else TapEvent.OVER_RIGHT
    first_s = turn_s * 0.5
    taps = []
    for turn in range(4):
        splice_s = first_s + turn * turn_s
        passed_s = splice_s - ahead_m / facts.speed_mps
        taps += [Tap(splice_s, TapEvent.SPLICE), Tap(passed_s - 1.0, over)]
        taps.append(Tap(passed_s + 1.0, TapEvent.BACK))
    station = facts.loop.station_named("HEAD")
    assert station is not None
    return TimedLook(
        station.name,
        station.run,
        station.position_m,
        TimedLookKind.TAPS,
        5 * turn_s,
        taps=tuple(sorted(taps, key=lambda one: one.at_s)),
    )


def drifting(layout: Layout, side: Side, ahead_m: float, *remarks: str) -> Evidence:
    facts = belts.conveyor(layout)
    seen = [
        belts.sighting(name, facts, LoadState.EMPTY, share, side, Persistence.COMES_AND_GOES)
        for name, share in (("TAIL", 0.0), ("C1-5", 0.6), ("C1-11", 0.0), ("HEAD", 0.6))
    ]
    return belts.evidence(
        facts,
        tuple(seen),
        timed_looks=(timed(facts, side, ahead_m),),
        remarks=frozenset(remarks),
    )


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_the_extreme_with_a_splice_is_a_crooked_splice(layout, side):
    answer = diagnose(drifting(layout, side, 0.0), belts.knowledge())

    first = answer.ranked[0]
    assert (first.cause, first.component, first.side) == ("crooked_splice", "S1", side)
    assert any(sentence_of("row-with-splice") in reason for reason in first.reasons)
    assert answer.pattern is Pattern.TRAVELLING
    assert answer.onset is None


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_the_extreme_away_from_any_splice_is_damage_to_one_edge_or_a_tear(layout, side):
    facts = belts.conveyor(layout)
    ahead_m = facts.loop.length_m * 0.3

    answer = diagnose(drifting(layout, side, ahead_m), belts.knowledge())

    first = answer.ranked[0]
    assert first.cause_class is CauseClass.BELT_SECTION
    assert first.belt_position_m == pytest.approx(ahead_m, abs=5)
    reachable = {one.cause for one in answer.ranked}
    assert {"one_sided_belt_damage", "belt_tear_across"} <= reachable
    damage = next(one for one in answer.ranked if one.cause == "one_sided_belt_damage")
    assert damage in answer.ranked[:3]
    assert any(sentence_of("row-belt-not-splice") in reason for reason in damage.reasons)


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_a_new_sound_belt_that_drifts_is_cambered(layout, side):
    facts = belts.conveyor(layout)
    ahead_m = facts.loop.length_m * 0.3

    answer = diagnose(drifting(layout, side, ahead_m, Remark.NEW_BELT), belts.knowledge())

    first = answer.ranked[0]
    assert first.cause == "belt_camber"
    assert any(sentence_of("row-new-belt-camber") in reason for reason in first.reasons)
