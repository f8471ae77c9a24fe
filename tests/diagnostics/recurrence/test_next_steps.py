"""What is suggested about a belt that keeps coming back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.recurrence.next_steps import (
    Reason,
    Step,
    Suggestion,
    Trouble,
    next_steps,
)

SQUARE, REPLACE, CLEAN = "square-return-idlers", "replace-return-roll", "clean-rolls"
METHODS = (SQUARE, REPLACE, CLEAN)
RETURN = {"return_idler": 4}
MANY = frozenset({"return_idler"})
USUAL = {"cases": 4, "families": RETURN, "many": MANY, "mended": "return_idler"}


def first(methods: tuple[str, ...] = METHODS, **trouble: object) -> Suggestion:
    return next_steps(Trouble(**{**USUAL, **trouble}), methods)[0]  # type: ignore[arg-type]


def test_the_same_mend_twice_in_vain_asks_for_another_one_by_name():
    found = first(failed={SQUARE: 2}, is_same_place=True)

    assert (found.step, found.reason) == (Step.OTHER_MEND, Reason.SAME_MEND_FAILED)
    assert (found.count, found.method, found.instead) == (2, SQUARE, REPLACE)


def test_without_another_mend_in_the_catalogue_an_engineer_looks():
    found = first((SQUARE,), failed={SQUARE: 3})

    assert (found.step, found.reason) == (Step.REVIEW, Reason.NO_MEND_LEFT)
    assert (found.count, found.method, found.instead) == (3, SQUARE, "")


@pytest.mark.parametrize(
    ("is_same_place", "step", "reason"),
    [
        (True, Step.REVIEW, Reason.SAME_PLACE),
        (None, Step.REVIEW, Reason.DIFFERENT_MENDS),
        # The mends held where they were made: what is wrong is the kind, not the place.
        (False, Step.INSPECT_KIND, Reason.OTHER_PLACES),
    ],
)
def test_after_different_mends_the_place_decides(
    is_same_place: bool | None, step: Step, reason: Reason
):
    found = first(failed={SQUARE: 1, REPLACE: 1}, is_same_place=is_same_place)

    assert (found.step, found.reason, found.count) == (step, reason, 2)


def test_a_mend_that_failed_once_is_looked_at_before_it_is_made_again():
    found = first(failed={SQUARE: 1}, last_failed=SQUARE)

    assert (found.step, found.method) == (Step.CHECK_MEND, SQUARE)


def test_work_without_a_method_is_like_no_other_work():
    found = first(failed={"": 2})

    assert (found.step, found.count) == (Step.CHECK_MEND, 2)


def test_most_causes_unknown_ask_for_a_look_before_anything_by_cause():
    found = first(families={"return_idler": 1, "": 3}, trend=1)

    assert (found.step, found.reason) == (Step.FIND_CAUSE, Reason.CAUSES_UNKNOWN)
    assert (found.count, found.of) == (3, 4)


def test_half_of_the_causes_unknown_are_not_most():
    steps = next_steps(Trouble(4, {"return_idler": 2, "": 2}), METHODS)

    assert Step.FIND_CAUSE not in [one.step for one in steps]


def test_several_causes_in_turn_ask_for_an_engineer():
    found = first(families={"return_idler": 1, "loading": 1, "take_up": 1, "": 1})

    assert (found.step, found.reason) == (Step.REVIEW, Reason.CAUSES_IN_TURN)
    assert (found.count, found.of) == (3, 3)


def test_three_causes_of_which_one_leads_are_not_several_in_turn():
    steps = next_steps(Trouble(6, {"return_idler": 4, "loading": 1, "take_up": 1}))

    assert Reason.CAUSES_IN_TURN not in [one.reason for one in steps]


def test_a_rising_trend_with_one_cause_asks_for_all_of_the_kind():
    found = first(trend=1)

    assert (found.step, found.family) == (Step.INSPECT_KIND, "return_idler")
    assert (found.count, found.of) == (4, 4)


def test_a_part_of_which_there_is_one_is_reviewed_when_it_rises():
    found = first(families={"take_up": 4}, trend=1)

    assert (found.step, found.reason) == (Step.REVIEW, Reason.RISING_PART)


def test_a_part_of_which_there_is_one_has_no_other_places():
    found = first(mended="take_up", failed={"x": 1, "y": 1}, is_same_place=False)

    assert (found.step, found.reason) == (Step.REVIEW, Reason.DIFFERENT_MENDS)


@pytest.mark.parametrize("trend", [0, -1])
def test_no_rise_asks_for_no_inspection(trend: int):
    assert first(trend=trend).step is Step.KEEP_WATCH


def test_lost_hours_nobody_said_are_asked_for_last():
    steps = next_steps(Trouble(4, RETURN, MANY, trend=1, hours_unsaid=3))

    assert [one.step for one in steps] == [Step.INSPECT_KIND, Step.NOTE_HOURS]
    assert (steps[-1].count, steps[-1].of) == (3, 4)


def test_one_case_says_little():
    assert next_steps(Trouble(1, {"": 1})) == (Suggestion(Step.KEEP_WATCH, Reason.NOTHING, 1),)


@pytest.mark.parametrize(
    ("trouble", "words"),
    [
        (Trouble(-1), "from 0"),
        (Trouble(2, hours_unsaid=-1), "from 0"),
        (Trouble(2, failed={SQUARE: -1}), "from 0"),
        (Trouble(2, {"loading": 2, "": 1}), "at most the cases, got 3 of 2"),
    ],
)
def test_impossible_counts_are_refused(trouble: Trouble, words: str):
    with pytest.raises(ValueError, match=words):
        next_steps(trouble)


_MENDS = st.dictionaries(st.sampled_from(["", *METHODS]), st.integers(0, 4))
_FAMILIES = st.dictionaries(st.sampled_from(["", "loading", "take_up", "return_idler"]),
                            st.integers(0, 9))  # fmt: skip


@given(
    _FAMILIES,
    _MENDS,
    st.sampled_from([-1, 0, 1]),
    st.sampled_from([None, False, True]),
    st.integers(0, 9),
)
def test_there_is_always_one_step_and_each_only_once(
    families: dict[str, int],
    failed: dict[str, int],
    trend: int,
    is_same_place: bool | None,
    unsaid: int,
):
    cases = sum(families.values())
    trouble = Trouble(
        cases,
        families,
        MANY,
        mended="loading",
        failed=failed,
        is_same_place=is_same_place,
        trend=trend,
        hours_unsaid=min(unsaid, cases),
    )

    steps = next_steps(trouble, METHODS)

    assert steps
    assert len({(one.step, one.reason) for one in steps}) == len(steps)
    # Nobody is told to keep watch beside something to do.
    assert len(steps) == 1 or Step.KEEP_WATCH not in [one.step for one in steps]
    # What was tried in vain is not suggested again.
    tried = {method for method, times in failed.items() if method and times}
    assert all(one.instead not in tried for one in steps)
