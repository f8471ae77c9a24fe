"""What case files are read."""

import json
import math

import pytest

from diagnostics.inference.case_file.document import read_case_file
from diagnostics.inference.notes import notes_on
from diagnostics.inference.vocabulary import Degree, LoadState, TimedLookKind
from plant.loop.vocabulary import Run, Side, TakeUpKind
from tests.diagnostics.case_documents import a_case, a_log, changed, read


def test_one_case_is_read_with_everything_it_says():
    (case,) = read(a_case())

    facts = case.evidence.conveyor
    assert case.name == "X-1"
    assert (facts.tag, facts.speed_mps, facts.clearance_mm) == ("F1", 1.6, 100)
    assert facts.take_up_kind is TakeUpKind.SCREW
    assert facts.belt.splices[0].name == "S1"
    assert facts.loop.head_m == 40.0
    assert facts.loop.length_m == pytest.approx(80.1 + math.pi * 0.25)
    first, second, third = case.evidence.sightings
    assert (first.offset_mm, first.run, first.load) == (12.5, Run.CARRYING, LoadState.LOADED)
    assert (second.degree, second.side, second.run) == (Degree.HALF, Side.LEFT, Run.CARRYING)
    assert (third.degree, third.run) == (Degree.CENTRED, Run.RETURN)
    (look,) = case.evidence.timed_looks
    assert look.kind is TimedLookKind.TAPS
    assert [tap.at_s for tap in look.taps] == [10.0, 12.0, 15.0]


def test_document_bare_array_and_single_case_are_all_read():
    other = {**a_case(), "id": "X-2"}

    as_document = read({"title": "anything", "cases": [a_case(), other]})
    as_array = read([a_case(), other])
    single = read(other)

    assert [one.name for one in as_document] == [one.name for one in as_array] == ["X-1", "X-2"]
    assert single[0].evidence == as_array[1].evidence


def test_a_case_without_id_is_named_by_its_index():
    nameless = a_case()
    del nameless["id"]

    cases = read([a_case(), nameless])

    assert [one.name for one in cases] == ["X-1", 1]


def test_a_byte_order_mark_is_no_obstacle():
    content = b"\xef\xbb\xbf" + json.dumps(a_case()).encode()

    assert read_case_file(content)[0].name == "X-1"


def test_unknown_keys_and_truth_are_ignored():
    case = a_case()
    case["weather"] = {"rain": float(3)}
    case["conveyor"]["colour"] = "green"
    case["walk_down"][0]["mood"] = []
    case["truth"] = "nonsense"

    assert read(case)[0].evidence == read(a_case())[0].evidence


def test_an_offset_wins_over_the_degree_beside_it():
    case = changed(["walk_down", 1, "offset_mm"], -7.5)

    sighting = read(case)[0].evidence.sightings[1]

    assert sighting.offset_or_middle_mm(100) == -7.5


def test_a_reading_beyond_the_clearance_is_kept_and_noted():
    evidence = read(changed(["walk_down", 0, "offset_mm"], 150.0))[0].evidence

    notes = notes_on(evidence, None, {}, has_size=False)

    assert evidence.sightings[0].offset_mm == 150.0
    assert any("C3" in note and "beyond the clearance" in note for note in notes)


def test_a_belt_shorter_than_its_path_is_kept_and_noted():
    evidence = read(changed(["conveyor", "belt", "length_m"], 70.0))[0].evidence

    notes = notes_on(evidence, None, {}, has_size=False)

    assert evidence.conveyor.belt.length_m == 70.0
    assert any("shorter than its path" in note for note in notes)


def test_a_case_without_belt_watch_or_optional_figures_is_read():
    case = a_case()
    del case["belt_watch"]
    for key in ("tag", "lift_m", "capacity_t_h", "trough_angle_deg", "return_vee_deg"):
        del case["conveyor"][key]
    for key in ("carcass", "strength_n_mm", "modulus_kN_m", "mass_kg_m2", "splices"):
        del case["conveyor"]["belt"][key]
    del case["conveyor"]["take_up"]["tension_kN"]

    facts = read(case)[0].evidence.conveyor

    assert facts.tag == "X-1"
    assert facts.take_up_tension_kn is None


def test_a_sensor_log_is_read():
    (look,) = read(a_log())[0].evidence.timed_looks

    assert look.offsets_mm == (1, 2, 3, 4)
    assert look.splice_passes_s == (0.5, 3.0)
