"""What case files are read, and which are refused with what words."""

import copy
import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.inference.case_file import CaseFileError, read_case_file
from diagnostics.inference.notes import notes_on
from diagnostics.inference.vocabulary import Degree, LoadState, TimedLookKind
from plant.loop.vocabulary import Run, Side, TakeUpKind


def a_case() -> dict[str, Any]:
    return {
        "id": "X-1",
        "conveyor": {
            "tag": "F1",
            "centre_distance_m": 40.0,
            "lift_m": 3.0,
            "speed_m_s": 1.6,
            "capacity_t_h": 400,
            "trough_angle_deg": 35,
            "return_vee_deg": 0,
            "clearance_mm": 100,
            "take_up": {"kind": "screw", "tension_kN": 6.0},
            "belt": {
                "width_mm": 800,
                "carcass": "EP",
                "strength_n_mm": 400,
                "modulus_kN_m": 4000,
                "mass_kg_m2": 10.0,
                "length_m": 80.9,
                "splices": [{"name": "S1", "belt_position_m": 0.0}],
            },
            "components": [
                {
                    "name": "LOAD",
                    "kind": "load_point",
                    "run": "carrying",
                    "position_m": 2.0,
                    "skirt_length_m": 3.0,
                },
                {
                    "kind": "troughing_idlers",
                    "run": "carrying",
                    "prefix": "C",
                    "first_m": 1.2,
                    "spacing_m": 1.2,
                    "count": 31,
                },
                {
                    "name": "HEAD",
                    "kind": "head_pulley",
                    "run": "head",
                    "position_m": 40.0,
                    "wrap_deg": 180,
                    "in_deg": 0,
                    "out_deg": -180,
                    "diameter_mm": 500,
                },
                {
                    "kind": "return_idlers",
                    "run": "return",
                    "prefix": "R",
                    "first_m": 43.0,
                    "spacing_m": 3.0,
                    "count": 12,
                },
                {
                    "name": "TAIL",
                    "kind": "tail_pulley",
                    "run": "tail",
                    "position_m": 80.1,
                    "wrap_deg": 180,
                    "in_deg": 180,
                    "out_deg": 0,
                    "diameter_mm": 500,
                },
            ],
        },
        "walk_down": [
            {
                "station": "C3",
                "run": "carrying",
                "position_m": 3.6,
                "load": "loaded",
                "offset_mm": 12.5,
                "degree": None,
                "side": None,
                "persistence": None,
            },
            {
                "station": "HEAD",
                "run": "head",
                "position_m": 40.0,
                "load": "loaded",
                "offset_mm": None,
                "degree": "half",
                "side": "left",
                "persistence": "steady",
            },
            {
                "station": "TAIL",
                "run": "tail",
                "position_m": 80.1,
                "load": "empty",
                "offset_mm": None,
                "degree": "centred",
                "side": None,
                "persistence": None,
            },
        ],
        "belt_watch": {
            "station": "R3",
            "run": "return",
            "position_m": 49.0,
            "kind": "taps",
            "duration_s": 160.0,
            "events": [
                {"t_s": 10.0, "event": "over-left"},
                {"t_s": 12.0, "event": "back"},
                {"t_s": 15.0, "event": "splice"},
            ],
        },
        "truth": [{"class": "whatever", "cause": 3}],
    }


def read(document: Any):
    return read_case_file(json.dumps(document).encode())


def changed(path: list[str | int], value: Any) -> dict[str, Any]:
    """A case with one field replaced; removed when the value is `...`."""
    case = a_case()
    place: Any = case
    for key in path[:-1]:
        place = place[key]
    if value is ...:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return case


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

    notes = notes_on(evidence, None, has_size=False)

    assert evidence.sightings[0].offset_mm == 150.0
    assert any("C3" in note and "beyond the clearance" in note for note in notes)


def test_a_belt_shorter_than_its_path_is_kept_and_noted():
    evidence = read(changed(["conveyor", "belt", "length_m"], 70.0))[0].evidence

    notes = notes_on(evidence, None, has_size=False)

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


NOT_A_NUMBER = [True, "3", None, [], {}]
REFUSED: list[tuple[list[str | int], Any, list[str]]] = [
    *[
        (["walk_down", 0, "position_m"], bad, ["walk_down row 1", "position_m"])
        for bad in [*NOT_A_NUMBER, -0.1, 81.0, 1e300]
    ],
    *[
        (["conveyor", "speed_m_s"], bad, ["conveyor", "speed_m_s"])
        for bad in [*NOT_A_NUMBER, 0, -2.0, 1e99]
    ],
    *[(["conveyor", "clearance_mm"], bad, ["clearance_mm"]) for bad in [*NOT_A_NUMBER, 0, -5]],
    *[(["conveyor", "belt", "length_m"], bad, ["length_m"]) for bad in [*NOT_A_NUMBER, 0, -5]],
    (["conveyor", "capacity_t_h"], -1, ["capacity_t_h"]),
    (["conveyor", "belt", "mass_kg_m2"], -1, ["mass_kg_m2"]),
    (["conveyor", "belt", "modulus_kN_m"], "stiff", ["modulus_kN_m"]),
    (["conveyor", "take_up", "tension_kN"], -3, ["tension_kN"]),
    (["conveyor", "take_up", "kind"], "spring", ["take_up", "kind", "gravity", "screw"]),
    (["conveyor", "take_up"], None, ["take_up"]),
    (["conveyor", "components", 1, "kind"], "magic_wheel", ["components row 2", "magic_wheel"]),
    (["conveyor", "components", 1, "spacing_m"], 0, ["components row 2", "spacing_m"]),
    (["conveyor", "components", 1, "count"], 2.5, ["components row 2", "count"]),
    (["conveyor", "components", 1, "count"], 10**9, ["components row 2", "count"]),
    (["conveyor", "components", 1, "count"], 60, ["components row 2", "past the head"]),
    (["conveyor", "components", 2, "position_m"], 90.0, ["HEAD", "TAIL"]),
    (["conveyor", "components", 2, "wrap_deg"], 0, ["components row 3", "wrap_deg"]),
    (["conveyor", "components", 2, "run"], "sideways", ["components row 3", "run"]),
    (["conveyor", "components", 4], ..., ["tail pulley"]),
    (["conveyor", "components"], {}, ["components", "array"]),
    (["walk_down", 0, "load"], "half full", ["walk_down row 1", "load", "loaded"]),
    (["walk_down", 0, "run"], "roof", ["walk_down row 1", "run", "carrying"]),
    (["walk_down", 0, "station"], "  ", ["walk_down row 1", "station"]),
    (["walk_down", 0, "offset_mm"], "12", ["walk_down row 1", "offset_mm"]),
    (["walk_down", 1, "degree"], "a bit", ["walk_down row 2", "degree", "slight"]),
    (["walk_down", 1, "degree"], None, ["walk_down row 2", "offset_mm"]),
    (["walk_down", 1, "side"], "up", ["walk_down row 2", "side", "left"]),
    (["walk_down", 1, "side"], None, ["walk_down row 2", "side", "half"]),
    (["walk_down", 1, "persistence"], "often", ["walk_down row 2", "persistence", "steady"]),
    (["walk_down"], "nothing", ["walk_down", "array"]),
    (["walk_down", 2], 7, ["walk_down row 3", "object"]),
    (["belt_watch", "kind"], "guess", ["belt_watch", "kind", "taps"]),
    (["belt_watch", "position_m"], -1, ["belt_watch", "position_m"]),
    (["belt_watch", "events", 1, "t_s"], 9.0, ["events row 2", "t_s", "backwards"]),
    (["belt_watch", "events", 0, "t_s"], -1.0, ["events row 1", "t_s"]),
    (["belt_watch", "events", 0, "event"], "jump", ["events row 1", "event", "over-left"]),
    (["belt_watch", "duration_s"], 3.0, ["duration_s"]),
    (["belt_watch", "duration_s"], -3.0, ["duration_s"]),
    (["belt_watch"], 4, ["belt_watch", "object"]),
    (["id"], True, ["id"]),
    (["id"], "", ["id"]),
    (["conveyor"], [], ["conveyor", "object"]),
]


@pytest.mark.parametrize(("path", "value", "named"), REFUSED)
def test_a_bad_field_is_refused_by_name_in_one_line(path, value, named):
    with pytest.raises(CaseFileError) as refused:
        read([{**a_case(), "id": "good"}, changed(path, value)])

    text = str(refused.value)
    assert "\n" not in text
    assert all(word in text for word in named), text
    assert "X-1" in text or "case 1" in text


REQUIRED: list[list[str | int]] = [
    ["conveyor"],
    ["walk_down"],
    ["conveyor", "speed_m_s"],
    ["conveyor", "clearance_mm"],
    ["conveyor", "take_up"],
    ["conveyor", "take_up", "kind"],
    ["conveyor", "belt"],
    ["conveyor", "belt", "width_mm"],
    ["conveyor", "belt", "length_m"],
    ["conveyor", "components"],
    ["conveyor", "components", 0, "kind"],
    ["conveyor", "components", 0, "position_m"],
    ["conveyor", "components", 2, "diameter_mm"],
    ["walk_down", 0, "station"],
    ["walk_down", 0, "run"],
    ["walk_down", 0, "position_m"],
    ["walk_down", 0, "load"],
    ["belt_watch", "kind"],
    ["belt_watch", "events"],
]


@pytest.mark.parametrize("path", REQUIRED)
def test_a_missing_required_key_is_named(path):
    with pytest.raises(CaseFileError, match=rf"{path[-1]}: is missing"):
        read(changed(path, ...))


def a_log(**changes: Any) -> dict[str, Any]:
    log = {
        "station": "R3",
        "run": "return",
        "position_m": 49.0,
        "kind": "log",
        "duration_s": 4.0,
        "rate_hz": 1.0,
        "offset_mm": [1, 2, 3, 4],
        "splice_passes_s": [0.5, 3.0],
    }
    return {**a_case(), "belt_watch": {**log, **changes}}


def test_a_sensor_log_is_read():
    (look,) = read(a_log())[0].evidence.timed_looks

    assert look.offsets_mm == (1, 2, 3, 4)
    assert look.splice_passes_s == (0.5, 3.0)


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"rate_hz": -1.0}, "rate_hz"),
        ({"rate_hz": 0}, "rate_hz"),
        ({"offset_mm": [1, None, 3]}, "offset_mm row 2"),
        ({"offset_mm": [1, "2"]}, "offset_mm row 2"),
        ({"offset_mm": 5}, "offset_mm"),
        ({"splice_passes_s": [3.0, 0.5]}, "splice_passes_s row 2"),
        ({"splice_passes_s": [-1.0]}, "splice_passes_s row 1"),
    ],
)
def test_a_bad_log_is_refused_by_name(changes, named):
    with pytest.raises(CaseFileError, match=named):
        read(a_log(**changes))


def test_two_cases_with_one_id_are_refused():
    with pytest.raises(CaseFileError, match="already the id of case 0"):
        read([a_case(), a_case()])


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"   \n",
        b"[]",
        b'{"cases": []}',
        b"{}",
        b"null",
        b"3",
        b'"cases"',
        b'{"cases": 4}',
        b"not json",
        b"\xff\xfe\x00",
        b"PK\x03\x04 a spreadsheet",
        b"[" * 100_000,
        b"1" * 10_000,
        b'{"cases": [',
        b"[null]",
        b"[[]]",
    ],
)
def test_what_is_no_case_file_is_refused_in_one_line(content):
    with pytest.raises(CaseFileError) as refused:
        read_case_file(content)

    assert str(refused.value).count("\n") == 0


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity"])
def test_numbers_that_are_none_are_refused(word):
    content = json.dumps(a_case()).replace("12.5", word).encode()

    with pytest.raises(CaseFileError, match=word):
        read_case_file(content)


def test_a_number_too_large_for_a_float_is_refused():
    content = json.dumps(a_case()).replace("12.5", "1" + "0" * 400).encode()

    with pytest.raises(CaseFileError, match="offset_mm"):
        read_case_file(content)


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner),
    max_leaves=6,
)


def _paths(value: Any, path: tuple = ()) -> list[tuple]:
    """Every place in a case."""
    found = [path] if path else []
    if isinstance(value, dict):
        for key, inner in value.items():
            found += _paths(inner, (*path, key))
    if isinstance(value, list):
        for index, inner in enumerate(value):
            found += _paths(inner, (*path, index))
    return found


@settings(max_examples=400, deadline=None)
@given(path=st.sampled_from(_paths(a_case())), value=anything)
def test_whatever_stands_in_a_field_is_read_or_refused_properly(path, value):
    case = copy.deepcopy(a_case())
    place: Any = case
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = value

    try:
        cases = read_case_file(json.dumps(case).encode())
    except CaseFileError as refused:
        assert "\n" not in str(refused)
    else:
        assert len(cases) == 1


@settings(max_examples=200, deadline=None)
@given(content=st.binary(max_size=200) | anything.map(lambda one: json.dumps(one).encode()))
def test_whatever_bytes_come_are_read_or_refused_properly(content):
    try:
        read_case_file(content)
    except CaseFileError as refused:
        assert "\n" not in str(refused)
