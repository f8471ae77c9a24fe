"""What changed between two answers."""

import pytest

from diagnostics.inference.moved import what_moved


def answer(shares, *, pattern="fixed", onset="R9", first="return_idler_skewed"):
    return {
        "pattern": pattern,
        "onset": {"station": onset, "run": "return", "position_m": 88.0} if onset else None,
        "ranked": [{"cause": first}] if first else [],
        "classes": [{"class": name, "probability": share} for name, share in shares.items()],
    }


def test_same_answer_moved_nothing():
    same = answer({"return_idler": 0.7, "tail_pulley": 0.3})

    assert what_moved(same, same).is_nothing


def test_largest_shift_comes_first_and_small_ones_are_left_out():
    before = answer({"return_idler": 0.5, "tail_pulley": 0.3, "take_up": 0.16, "loading": 0.04})
    after = answer({"return_idler": 0.7, "tail_pulley": 0.05, "take_up": 0.2, "loading": 0.05})

    shifts = what_moved(before, after).shifts

    assert [(one.cause_class, one.before, one.after) for one in shifts] == [
        ("tail_pulley", 0.3, 0.05),
        ("return_idler", 0.5, 0.7),
    ]


@pytest.mark.parametrize(("after", "is_told"), [(0.45, True), (0.46, False), (0.55, True)])
def test_shift_is_told_from_a_twentieth_on(after, is_told):
    moved = what_moved(answer({"take_up": 0.5}), answer({"take_up": after}))

    assert bool(moved.shifts) is is_told


def test_class_that_came_or_went_counts_from_nothing():
    moved = what_moved(answer({"take_up": 1.0}), answer({"bend_pulley": 1.0}))

    assert {(one.cause_class, one.before, one.after) for one in moved.shifts} == {
        ("take_up", 1.0, 0.0),
        ("bend_pulley", 0.0, 1.0),
    }


def test_pattern_onset_and_first_cause_are_told_apart():
    moved = what_moved(
        answer({}), answer({}, pattern="travelling", onset=None, first="crooked_splice")
    )

    assert moved.pattern == ("fixed", "travelling")
    assert moved.onset == ("R9", "")
    assert moved.first == ("return_idler_skewed", "crooked_splice")


def test_answer_without_suspicions_has_no_first_cause():
    assert what_moved(answer({}, first=None), answer({})).first == ("", "return_idler_skewed")
