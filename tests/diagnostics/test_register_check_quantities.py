"""Figures of the engineering check as they are read: rounded, with their unit."""

import math

import pytest

from diagnostics.mechanics.register_check.findings import Bound, Check, Missing, Quantity, Unit
from diagnostics.register_check_quantities import bound_words, quantity_words
from diagnostics.register_check_sources import BASES, SIGN_WORDS
from diagnostics.register_check_words import CHECK_WORDS, MISSING_WORDS, question_words

_N = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (209.99, Unit.METRE, f"210.0{_N}m"),
        (1.249, Unit.METRE, f"1.25{_N}m"),
        (999.6, Unit.MILLIMETRE, f"1000{_N}mm"),
        (1.3195, Unit.METRE_PER_SECOND, f"1.32{_N}m/s"),
        (38_050, Unit.NEWTON, f"38.0{_N}kN"),
        (-3_260, Unit.NEWTON, f"-3.3{_N}kN"),
        (0.0156, Unit.SHARE, f"1.6{_N}%"),
        (452.335, Unit.TURNS_PER_MINUTE, f"452{_N}rpm"),
        (2310.45, Unit.KILOGRAM, f"2310{_N}kg"),
        (35.0, Unit.DEGREE, "35°"),
        (0.022, Unit.NUMBER, "0.022"),
        (22.5, Unit.DEGREE, "22.5°"),
        (math.inf, Unit.SHARE, "more than 100 %"),
        (math.inf, Unit.NEWTON, "without bound"),
    ],
)
def test_figures_are_rounded_not_cut_and_carry_their_unit(value, unit, words):
    assert quantity_words(Quantity(value, unit)) == words


def test_a_limit_says_on_which_side_it_lies():
    assert bound_words(Bound.AT_LEAST, Quantity(2000, Unit.NEWTON)) == f"at least 2.0{_N}kN"
    assert bound_words(Bound.AT_MOST, Quantity(2, Unit.METRE)) == f"at most 2.00{_N}m"
    assert bound_words(Bound.ABOUT, Quantity(2, Unit.METRE)) == f"about 2.00{_N}m"


@pytest.mark.parametrize("check", list(Check))
@pytest.mark.parametrize("bound", list(Bound))
def test_every_check_asks_a_question_and_names_its_source(check, bound):
    question = str(question_words(check, bound)) % {
        "found": "1 m",
        "wanted": "2 m",
        "at": "A, B",
        "first": "A",
        "second": "B",
    }

    assert question.endswith("?")
    assert BASES[check].formula
    assert str(BASES[check].source).endswith(".")


def test_every_missing_figure_and_sign_has_words():
    assert set(MISSING_WORDS) == set(Missing)
    assert set(CHECK_WORDS) == set(Check)
    assert all(str(words) for words in SIGN_WORDS.values())
