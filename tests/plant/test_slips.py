"""Slips of the hand, counted."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.slips import plain_words, slips_between

NAMES = ["CV-12", "Quay conveyor", "the Möwen belt"]
words = st.text(alphabet="abcdefgh", min_size=3, max_size=9)


@pytest.mark.parametrize(
    ("asked", "slips"),
    [
        ("quay", 0),
        ("QUAY conv", 0),
        ("mowen", 0),
        ("qauy", 1),
        ("quy", 1),
        ("quaay", 1),
        ("kuay", 1),
        ("cnoveyor", 1),
        ("cnovyeor", 2),
        ("qyau", None),
        ("cvnoyeorx", None),
        ("kway", None),
        ("xy", None),
        ("cv 12", 0),
        ("cv 13", None),
        ("", None),
    ],
)
def test_slips_are_counted_up_to_what_is_believed(asked: str, slips: int | None):
    assert slips_between(plain_words(asked), NAMES) == slips


def test_words_are_cut_and_plain():
    assert plain_words("Förderband-7, (alt)/É") == ["forderband", "7", "alt", "e"]


def test_nothing_is_like_no_name():
    assert slips_between(["quay"], []) is None


@given(words)
def test_a_word_is_itself(word: str):
    assert slips_between([word], [word]) == 0


@given(words, st.data())
def test_one_letter_left_out_is_at_most_one_slip(word: str, data: st.DataObject):
    gap = data.draw(st.integers(0, len(word) - 1))
    short = word[:gap] + word[gap + 1 :]

    slips = slips_between([short], [word])

    # A word of two letters is believed only as it stands.
    assert slips in ({0, 1} if len(short) >= 3 else {0, None})


@given(words, st.data())
def test_two_letters_changed_over_are_at_most_one_slip(word: str, data: st.DataObject):
    at = data.draw(st.integers(0, len(word) - 2))
    changed = word[:at] + word[at + 1] + word[at] + word[at + 2 :]

    assert slips_between([changed], [word]) in {0, 1}
