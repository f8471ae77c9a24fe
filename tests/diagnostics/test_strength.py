"""The one scale of strength: slightly 2, clearly 4, strongly 8."""

import math

import pytest

from diagnostics.inference.strength import Strength, in_words, strength_of


@pytest.mark.parametrize(
    ("ratio", "word"),
    [
        (1, "hardly"),
        (1.3, "hardly"),
        (2, "slightly"),
        (2.7, "slightly"),
        (3, "clearly"),
        (4, "clearly"),
        (6, "strongly"),
        (8, "strongly"),
        (30, "strongly"),
    ],
)
def test_a_ratio_has_a_word_and_its_inverse_the_same(ratio: float, word: str) -> None:
    assert strength_of(ratio) == word
    assert strength_of(1 / ratio) == word


@pytest.mark.parametrize("word", Strength)
def test_each_word_stands_for_its_own_ratio(word: Strength) -> None:
    assert strength_of(word.ratio) is word


def test_words_say_for_and_against() -> None:
    assert in_words(4) == "speaks clearly for"
    assert in_words(0.125) == "speaks strongly against"
    assert in_words(1.1) == "says little about"


@pytest.mark.parametrize("ratio", [0, -2, math.nan, math.inf])
def test_what_is_no_likelihood_ratio_is_refused(ratio: float) -> None:
    with pytest.raises(ValueError, match="ratio must be finite and above 0"):
        strength_of(ratio)
