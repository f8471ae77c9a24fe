"""The truth of case files: read, or refused with the case and the field."""

import json

import pytest

from diagnostics.inference.case_file.document import CaseFileError
from diagnostics.inference.evaluation.truth import TrueCause, read_known_cases
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Side
from tests.diagnostics.case_documents import a_case

TRUE = {
    "cause": "tail_pulley_skewed",
    "class": "tail_pulley",
    "component": "TAIL",
    "position_m": 80.1,
    "side": "left",
    "peak_effect_mm": 61,
    "unknown key": [1, 2],
}


def read(truth):
    return read_known_cases(json.dumps({**a_case(), "truth": truth}).encode())


def test_truth_is_read_with_its_place_and_side():
    (case,) = read([TRUE])

    assert case.name == "X-1"
    assert case.evidence.conveyor.tag == "F1"
    assert case.truth == (
        TrueCause(
            CauseClass.TAIL_PULLEY,
            "tail_pulley_skewed",
            position_m=80.1,
            side=Side.LEFT,
            peak_effect_mm=61.0,
        ),
    )


def test_a_class_alone_is_truth_enough():
    (case,) = read([{"class": "loading"}])

    assert case.truth == (TrueCause(CauseClass.LOADING),)


def test_two_causes_are_read_in_order():
    (case,) = read([{"class": "loading"}, {"class": "belt_splice", "belt_position_m": 80.9}])

    assert [one.cause_class for one in case.truth] == ["loading", "belt_splice"]
    assert case.truth[1].belt_position_m == 80.9


@pytest.mark.parametrize(
    ("truth", "named"),
    [
        (None, "truth: is missing"),
        ({}, "truth: must be an array"),
        ("loading", "truth: must be an array"),
        ([], "truth: must be an array"),
        ([TRUE, TRUE, TRUE], "truth: must be an array of one to 2 causes"),
        (["loading"], "truth row 1: must be an object"),
        ([{"cause": "tail_pulley_skewed"}], "truth row 1: class: is missing"),
        ([{"class": "whatever"}], "truth row 1: class: must be one of"),
        ([{"class": None}], "truth row 1: class: must be one of"),
        ([TRUE, {"class": 3}], "truth row 2: class: must be one of"),
        ([{**TRUE, "cause": 7}], "cause: must be a text"),
        ([{**TRUE, "position_m": 99.0}], "position_m: must be on the loop"),
        ([{**TRUE, "position_m": -0.1}], "position_m: must be on the loop"),
        ([{**TRUE, "position_m": "80"}], "position_m: must be a number"),
        ([{**TRUE, "belt_position_m": 500}], "belt_position_m: must be a number from"),
        ([{**TRUE, "side": "up"}], "side: must be one of left, right"),
        ([{**TRUE, "peak_effect_mm": -1}], "peak_effect_mm: must be a number from 0"),
    ],
)
def test_bad_truth_is_refused_with_case_and_field(truth, named):
    with pytest.raises(CaseFileError) as refusal:
        read(truth)

    text = str(refusal.value)
    assert text.startswith("case X-1: ")
    assert named in text
    assert "\n" not in text


def test_a_case_without_the_key_is_refused_by_name():
    case = a_case()
    del case["truth"]

    with pytest.raises(CaseFileError, match="case X-1: truth: is missing"):
        read_known_cases(json.dumps(case).encode())


def test_one_case_without_truth_refuses_the_file():
    good = {**a_case(), "id": "X-2", "truth": [TRUE]}

    with pytest.raises(CaseFileError, match="case X-1"):
        read_known_cases(json.dumps([good, {**a_case(), "truth": None}]).encode())


def test_what_makes_no_evidence_is_refused_before_its_truth():
    with pytest.raises(CaseFileError, match="walk_down row 1"):
        read_known_cases(json.dumps({**a_case(), "walk_down": [{}], "truth": "nothing"}).encode())
