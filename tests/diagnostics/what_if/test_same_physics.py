"""The forward picture and the inference are one physics: influence times amplitude, everywhere."""

import numpy as np
import pytest

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.places import family_names, is_possible
from diagnostics.inference.vocabulary import BELT_CLASSES, LoadState
from diagnostics.inference.what_if.answer import Shown
from diagnostics.inference.what_if.causes_asked import is_drawn
from diagnostics.mechanics.influence import Family
from plant.loop.vocabulary import ComponentKind, Run, Side
from tests.diagnostics.belts import (
    EVERY_KIND,
    FEEDER,
    GALLERY,
    INCLINE,
    OVERLAND,
    conveyor,
    knowledge,
)
from tests.diagnostics.what_if.pictures import shown

BOTH = (LoadState.LOADED, LoadState.EMPTY)


def families_at_stations(facts: ConveyorFacts, found: Shown, load: LoadState) -> list[Family]:
    at = np.array([one.position_m for one in found.stations])
    faults = FaultFamilies(facts, models_of(facts, (load,)), at, (load,) * len(at))
    return faults.families()


def column_of(families: list[Family], name: str, from_m: float, to_m: float) -> np.ndarray:
    """Influence of the first candidate of a family that stands at these ends."""
    for family in families:
        if family.name != name:
            continue
        hits = np.isclose(family.from_m, from_m) & np.isclose(family.to_m, to_m)
        if hits.any():
            return family.influence_mm[:, int(np.flatnonzero(hits)[0])]
    raise AssertionError(f"{name} has no candidate from {from_m} to {to_m} m")


def read_off(found: Shown, number: int) -> np.ndarray:
    """Uncut offsets of a picture at the stations."""
    picture = found.pictures[number]
    at = np.array([one.position_m for one in found.stations])
    return np.interp(at, picture.position_m, picture.computed_mm)


def asserts_influence(facts: ConveyorFacts, found: Shown, name: str) -> None:
    standing = found.asked.standing
    to_m = standing.from_m if standing.part is not None else standing.to_m
    for number, load in enumerate(BOTH):
        families = families_at_stations(facts, found, load)
        column = column_of(families, name, standing.from_m, to_m)

        assert read_off(found, number) == pytest.approx(column * found.asked.amplitude, abs=1e-3)


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
@pytest.mark.parametrize(
    ("cause", "name"),
    [
        ("tail_pulley_skewed", "skew TAIL"),
        ("tail_pulley_worn", "taper TAIL"),
        ("head_pulley_skewed", "skew HEAD"),
        ("head_lagging_worn_one_side", "taper HEAD"),
        ("off_centre_loading", "loading"),
        ("skirt_seal_drags", "rub LOAD"),
        ("cleaner_presses_unevenly", "rub HEAD"),
    ],
)
def test_reading_at_a_station_is_influence_times_amplitude(layout, cause, name):
    facts = conveyor(layout)

    found = shown(facts, cause, side="left")

    asserts_influence(facts, found, name)


@pytest.mark.parametrize("layout", [FEEDER, INCLINE, GALLERY], ids=lambda one: one.tag)
@pytest.mark.parametrize("sets", [2, 5, 8])
def test_a_group_of_idlers_reads_as_its_window(layout, sets):
    facts = conveyor(layout)

    found = shown(facts, "carrying_idlers_skewed", at=str(layout.centre_m / 2), sets=str(sets))

    asserts_influence(facts, found, f"idlers {Run.CARRYING}")


def test_on_a_long_belt_a_group_reads_as_its_single_idlers_together():
    facts = conveyor(OVERLAND)

    found = shown(facts, "carrying_idlers_skewed", at="450")

    at = np.array([one.position_m for one in found.stations])
    for number, load in enumerate(BOTH):
        faults = FaultFamilies(facts, models_of(facts, (load,)), at, (load,) * len(at))
        together = faults.by_roll_mm_deg[:, list(found.asked.standing.rolls)].sum(axis=1)
        assert read_off(found, number) == pytest.approx(together * found.asked.amplitude, abs=1e-3)


@pytest.mark.parametrize("sets", [1, 3])
def test_return_idlers_read_as_their_window(sets):
    facts = conveyor(INCLINE)

    found = shown(facts, "return_idler_skewed", at=str(INCLINE.centre_m + 30), sets=str(sets))

    asserts_influence(facts, found, f"idlers {Run.RETURN}")


def test_a_stuck_set_reads_as_its_family():
    facts = conveyor(OVERLAND)

    found = shown(facts, "self_aligning_idler_stuck_carrying", at="SA-C4")

    asserts_influence(facts, found, f"stuck {Run.CARRYING}")


@pytest.mark.parametrize("load", BOTH)
def test_a_bow_reads_as_its_family(load):
    facts = conveyor(INCLINE)
    # 18 m, a third of the half length a step: a place where the family has a candidate too.
    centre_m = 18 + 10 * 16 / 3

    found = shown(facts, "structure_bowed", at=f"{centre_m:.9f}")

    asserts_influence(facts, found, f"bow {Run.CARRYING}")
    assert found.asked.bows_to is Side.LEFT
    assert load in {one.load for one in found.pictures}


@pytest.mark.parametrize("layout", [INCLINE, OVERLAND], ids=lambda one: one.tag)
def test_bend_and_take_up_pulleys_read_as_their_families(layout):
    facts = conveyor(layout)

    for cause, at, name in (
        ("bend_pulley_skewed", "BEND1", "skew BEND1"),
        ("bend_pulley_build_up", "BEND2", "taper BEND2"),
        ("take_up_carriage_skewed", "TAKEUP", "skew TAKEUP"),
    ):
        asserts_influence(facts, shown(facts, cause, at=at), name)


def test_every_cause_with_a_place_is_drawn_as_a_family_the_engine_weighs():
    facts = conveyor(OVERLAND)

    drawn = 0
    for cause in knowledge().causes.values():
        if cause.cause_class in BELT_CLASSES or not is_drawn(cause):
            continue
        if not is_possible(cause, facts):
            continue
        at = {"idlers": "300", "stuck": "SA-C4", "bow": "300"}
        name = family_names(cause, facts.loop)[0]
        kind, _space, rest = name.partition(" ")
        place = at.get(kind, rest)
        if "return" in name:
            place = {"stuck": "SA-R1"}.get(kind, "1000")
        elif cause.stands_at == {ComponentKind.IMPACT_IDLERS}:
            place = "I4"
        found = shown(facts, cause.slug, at=place)

        assert found.asked.standing.kind == kind
        assert abs(found.pictures[0].computed_peak_mm) > 0
        drawn += 1
    assert drawn > 35
