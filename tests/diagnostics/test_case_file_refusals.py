"""Which case files are refused, and with what words."""

import copy
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.inference.case_file.document import CaseFileError, read_case_file
from tests.diagnostics.case_documents import a_case, a_log, changed, read

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


def refusal_of(content: bytes) -> str:
    """The refusal's text, empty when the file is read; any other exception is a failure."""
    try:
        read_case_file(content)
    except CaseFileError as refused:
        return str(refused)
    return ""


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

    assert "\n" not in refusal_of(json.dumps(case).encode())


@settings(max_examples=200, deadline=None)
@given(content=st.binary(max_size=200) | anything.map(lambda one: json.dumps(one).encode()))
def test_whatever_bytes_come_are_read_or_refused_properly(content):
    assert "\n" not in refusal_of(content)
