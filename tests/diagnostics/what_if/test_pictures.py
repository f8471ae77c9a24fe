"""What a picture says: linear, mirrored, cut at the clearance, first off, reach, words."""

import math

import numpy as np
import pytest

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.vocabulary import CENTRED_SHARE, Degree, LoadState, Pattern
from diagnostics.inference.what_if.picture import Picture
from diagnostics.mechanics.moving import camber_peak_m, splice_peak_m_rad
from plant.loop.vocabulary import Side
from tests.diagnostics.belts import EVERY_KIND, FEEDER, GALLERY, INCLINE, OVERLAND, conveyor
from tests.diagnostics.what_if.pictures import shown

CAUSES = [
    ("carrying_idlers_skewed", {"at": "20"}),
    ("structure_bowed", {"at": "22"}),
    ("off_centre_loading", {}),
    ("tail_pulley_skewed", {}),
    ("head_lagging_worn_one_side", {}),
    ("skirt_seal_drags", {}),
    ("crooked_splice", {"at": "20"}),
    ("belt_camber", {"at": "20"}),
]


@pytest.mark.parametrize(("cause", "where"), CAUSES)
def test_doubling_a_fault_doubles_every_offset(cause, where):
    facts = conveyor(FEEDER)
    size = shown(facts, cause, **where).asked.size

    once = shown(facts, cause, **where, size=f"{size:.9f}")
    twice = shown(facts, cause, **where, size=f"{2 * size:.9f}")

    for one, other in zip(once.pictures, twice.pictures, strict=True):
        assert other.computed_mm == pytest.approx(2 * one.computed_mm, rel=1e-5, abs=1e-9)


@pytest.mark.parametrize(("cause", "where"), CAUSES)
def test_the_other_side_mirrors_every_offset(cause, where):
    facts = conveyor(FEEDER)

    right, left = (shown(facts, cause, **where, side=side) for side in Side)

    for one, other in zip(right.pictures, left.pictures, strict=True):
        assert other.computed_mm == pytest.approx(-one.computed_mm, abs=1e-12)
        assert other.off_centre == one.off_centre
        assert other.reach_upstream_m == one.reach_upstream_m


def test_several_faults_at_once_add_up():
    facts = conveyor(INCLINE)
    five = shown(facts, "carrying_idlers_skewed", at="C6-6", sets="5", size="1")
    names = ("C6-4", "C6-5", "C6-6", "C6-7", "C6-8")

    one_by_one = [
        shown(facts, "carrying_idlers_skewed", at=name, sets="1", size="1") for name in names
    ]

    for number, picture in enumerate(five.pictures):
        total = sum(one.pictures[number].computed_mm for one in one_by_one)
        assert total == pytest.approx(picture.computed_mm, abs=1e-9)


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
@pytest.mark.parametrize("side", list(Side))
def test_the_belt_runs_to_the_side_asked_for(layout, side):
    facts = conveyor(layout)

    for cause in ("tail_pulley_skewed", "head_pulley_skewed", "off_centre_loading"):
        loaded = shown(facts, cause, side=side.value).pictures[0]

        assert Side.of(loaded.peak_mm) is side


def test_offsets_are_given_all_round_and_about_every_metre():
    facts = conveyor(OVERLAND)

    picture = shown(facts, "tail_pulley_skewed").pictures[0]

    places = picture.position_m
    assert places[0] == 0
    assert places[-1] == pytest.approx(facts.loop.tail_m)
    assert np.diff(places).min() > 0
    assert np.diff(places).max() <= 2.0


def test_the_belt_is_cut_at_the_clearance_and_says_so():
    facts = conveyor(INCLINE)

    found = shown(facts, "tail_pulley_skewed", size="2")

    picture = found.pictures[0]
    assert picture.hits_clearance
    assert abs(picture.computed_peak_mm) > facts.clearance_mm
    assert np.abs(picture.offset_mm).max() == facts.clearance_mm
    assert picture.peak_mm == facts.clearance_mm
    assert any("cut at the clearance of 100 mm" in note for note in found.notes)


def test_first_off_centre_is_where_the_stretch_of_the_peak_begins():
    facts = conveyor(INCLINE)

    picture = shown(facts, "carrying_idlers_skewed", at="90").pictures[0]

    off = picture.off_centre
    assert off is not None
    least = CENTRED_SHARE * facts.clearance_mm
    inside = (picture.position_m >= off.from_m) & (picture.position_m <= off.to_m)
    assert np.abs(picture.computed_mm[inside]).min() >= least - 0.01
    before = picture.computed_mm[picture.position_m < off.from_m][-1]
    assert abs(before) < least
    assert off.from_m < picture.peak_m < off.to_m


def test_a_stretch_over_the_seam_begins_before_it():
    facts = conveyor(INCLINE)

    off = shown(facts, "tail_pulley_skewed").pictures[0].off_centre

    assert off is not None
    assert off.from_m > off.to_m
    assert off.from_m < facts.loop.tail_m


def test_reach_is_counted_from_the_place_of_the_fault():
    facts = conveyor(INCLINE)

    idlers = shown(facts, "carrying_idlers_skewed", at="90").pictures[1]
    load = shown(facts, "off_centre_loading").pictures[0]

    assert 0 < idlers.reach_upstream_m < idlers.reach_downstream_m
    # Material that lands off centre moves the belt only behind the load point.
    assert load.reach_upstream_m == 0
    assert load.reach_downstream_m > 10


def test_a_fault_too_small_to_see_has_no_beginning_and_the_picture_says_so():
    facts = conveyor(INCLINE)

    found = shown(facts, "carrying_idlers_skewed", at="90", size="0.05")

    assert found.pictures[0].off_centre is None
    assert any("nowhere off centre" in note for note in found.notes)


def picture(values: list[float]) -> Picture:
    loop = conveyor(FEEDER).loop
    places = np.linspace(0, loop.tail_m, len(values))
    return Picture(LoadState.EMPTY, loop, 100.0, places, np.array(values), 0.0)


def test_a_belt_off_all_round_has_no_beginning():
    everywhere = picture([50.0, 60.0, 50.0, 40.0])

    assert everywhere.off_centre is None
    assert everywhere.is_off_somewhere
    assert everywhere.reach_downstream_m is None


def test_a_belt_that_is_not_moved_is_centred_everywhere():
    still = picture([0.0, 0.0, 0.0])

    assert still.off_centre is None
    assert not still.is_off_somewhere
    assert not still.hits_clearance


def test_the_stretch_of_the_largest_peak_counts():
    two = picture([0.0, 20.0, 0.0, 0.0, 30.0, 40.0, 0.0, 0.0])

    places = two.position_m
    assert (two.off_centre.from_m, two.off_centre.to_m) == (places[4], places[5])


@pytest.mark.parametrize(
    ("share", "degree"),
    [
        (0.0, Degree.CENTRED),
        (0.1499, Degree.CENTRED),
        (0.15, Degree.SLIGHT),
        (0.4, Degree.HALF),
        (0.8, Degree.HARD_OVER),
        (3.0, Degree.HARD_OVER),
    ],
)
def test_degrees_are_those_of_a_walk(share, degree):
    assert Degree.of(share) is degree
    assert Degree.of(-share) is degree


def test_stations_are_those_of_a_walk_and_more_where_the_fault_shows():
    facts = conveyor(OVERLAND)

    found = shown(facts, "tail_pulley_skewed")

    seen = found.pictures[0].seen_at(found.stations)
    assert seen[0].station.name == "TAIL"
    assert {"TAIL", "HEAD", "BEND1", "TAKEUP", "BEND2"} <= {one.station.name for one in seen}
    assert len([one for one in seen if one.station.position_m > 1777]) >= 5
    assert seen[0].degree is Degree.HARD_OVER
    assert seen[0].side is Side.RIGHT
    assert all((one.side is None) == (one.degree is Degree.CENTRED) for one in seen)


def test_an_empty_belt_does_not_feel_how_material_lands():
    found = shown(conveyor(GALLERY), "off_centre_loading")

    loaded, empty = found.pictures
    assert abs(loaded.peak_mm) > 15
    assert not np.any(empty.computed_mm)


def test_what_travels_is_as_large_as_the_closed_form_and_looks_the_same_everywhere_it_passes():
    facts = conveyor(INCLINE)
    line = models_of(facts, (LoadState.EMPTY,))[LoadState.EMPTY].line

    found = shown(facts, "crooked_splice", at="120", size="0.8", load="empty")

    picture = found.pictures[0]
    here = np.flatnonzero(picture.position_m == 120.0)
    peak = splice_peak_m_rad(
        line.data.belt.bending_n_m2,
        np.interp([120.0], line.nodes.s_m, line.tension_n),
        line.centring_per_metre_n_m2(np.array([120.0])),
    )
    expected = 1000 * math.radians(0.8) * peak[0]
    assert picture.computed_mm[here] == pytest.approx(expected)
    assert picture.passing_mm[here] == pytest.approx(expected)
    assert np.abs(picture.passing_mm).max() == pytest.approx(expected)
    assert picture.off_centre is None
    assert found.asked.cause.pattern is Pattern.TRAVELLING


def test_a_camber_is_as_large_as_the_closed_form():
    facts = conveyor(INCLINE)
    line = models_of(facts, (LoadState.EMPTY,))[LoadState.EMPTY].line

    picture = shown(facts, "belt_camber", at="250", size="0.001", load="empty").pictures[0]

    here = np.flatnonzero(picture.position_m == 250.0)
    peak = camber_peak_m(
        line.data.belt.bending_n_m2,
        np.interp([250.0], line.nodes.s_m, line.tension_n),
        line.centring_per_metre_n_m2(np.array([250.0])),
    )
    assert picture.computed_mm[here] == pytest.approx(1000 * 0.001 * peak[0])


def test_a_belt_position_says_when_it_passes_against_the_splice():
    facts = conveyor(INCLINE)

    found = shown(facts, "one_sided_belt_damage", belt_at="50")

    assert found.asked.belt_position_m == 50
    # 50 m ahead of the splice at 2.5 m/s.
    assert any("20.0 s before the reference splice" in note for note in found.notes)


def test_sizes_of_a_bearing_in_millimetres_turn_the_pulley_by_width():
    facts = conveyor(FEEDER)
    size_mm = 800 * math.radians(0.7)

    by_mm = shown(facts, "screw_take_up_uneven", size=f"{size_mm:.9f}")
    by_deg = shown(facts, "tail_pulley_skewed", size="0.7")

    assert by_mm.asked.measure.unit == "mm"
    assert by_mm.pictures[0].computed_mm == pytest.approx(by_deg.pictures[0].computed_mm)


def test_a_size_the_catalogue_counts_otherwise_is_said_to_be_ours():
    found = shown(conveyor(INCLINE), "carrying_idler_dropped", at="90")

    assert found.asked.measure.unit == "deg"
    assert any("counts this cause in mm" in note for note in found.notes)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"take_up_tension_kn": None}, "tension is not registered"),
        ({"capacity_tph": None}, "capacity is not registered"),
        ({"is_reversing": True}, "in carrying travel"),
    ],
)
def test_what_the_register_leaves_open_is_said(changes, said):
    found = shown(conveyor(INCLINE, **changes), "tail_pulley_skewed")

    assert any(said in note for note in found.notes)


def test_the_picture_says_what_it_is_and_how_far_to_trust_it():
    notes = " ".join(shown(conveyor(INCLINE), "tail_pulley_skewed").notes)

    assert "linear" in notes
    assert "several faults at once add up" in notes
    assert "factor of two" in notes
    assert "no instruction" in notes
