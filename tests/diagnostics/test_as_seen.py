"""Sides as a person sees them and offsets as a person writes them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.inference.as_seen import offset_from_words, side_in_register
from plant.loop.vocabulary import Side

LEFT, RIGHT = Side.LEFT, Side.RIGHT


@pytest.mark.parametrize("side", Side)
def test_person_who_faces_the_head_says_the_registers_sides(side):
    assert side_in_register(side, is_facing_tail=False) is side


@pytest.mark.parametrize("side", Side)
def test_person_who_faces_the_tail_sees_the_sides_the_other_way_round(side):
    assert side_in_register(side, is_facing_tail=True) is side.opposite


@given(st.sampled_from(Side), st.booleans())
def test_turning_round_twice_changes_nothing(side, is_facing_tail):
    once = side_in_register(side, is_facing_tail=is_facing_tail)

    assert side_in_register(once, is_facing_tail=is_facing_tail) is side


# 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
@pytest.mark.parametrize(
    ("words", "mm"),
    [
        ("45", 45),
        ("45 mm", 45),
        ("45MM", 45),
        (" 45  mm ", 45),
        ("45.5", 45.5),
        ("45,5 mm", 45.5),
        (".5 in", 12.7),
        ("2 in", 50.8),
        ("2in.", 50.8),
        ("2 inches", 50.8),
        ("1 inch", 25.4),
        ('1 3/4"', 44.45),
        ("1 3/4 in", 44.45),
        ("1-3/4 in", 44.45),
        ("3/8 in", 9.525),
        ("1.75 in", 44.45),
        ("0", 0),
        ("+45 mm", 45),
    ],
)
def test_offset_with_a_side_is_read_in_mm_and_inches(words, mm):
    assert offset_from_words(words, RIGHT, is_facing_tail=False) == pytest.approx(mm)
    assert offset_from_words(words, LEFT, is_facing_tail=False) == pytest.approx(-mm)


def test_offset_of_a_person_who_faces_the_tail_is_turned():
    assert offset_from_words("45 mm", LEFT, is_facing_tail=True) == 45
    assert offset_from_words("45 mm", RIGHT, is_facing_tail=True) == -45


@pytest.mark.parametrize("is_facing_tail", [False, True])
@pytest.mark.parametrize(
    ("words", "mm"), [("-30 mm", -30), ("+30", 30), ("\N{MINUS SIGN}30", -30), ("- 1/2 in", -12.7)]
)
def test_sign_without_a_side_is_the_registers_whichever_way_the_person_faces(
    words, mm, is_facing_tail
):
    assert offset_from_words(words, None, is_facing_tail=is_facing_tail) == pytest.approx(mm)


def test_nothing_off_needs_neither_side_nor_sign():
    assert offset_from_words("0 mm", None, is_facing_tail=False) == 0


def test_zero_to_a_side_has_no_minus():
    assert str(offset_from_words("0", LEFT, is_facing_tail=False)) == "0.0"


@pytest.mark.parametrize(
    "words",
    [
        "",
        "much",
        "NaN",
        "inf",
        "45 cm",
        "45 ft",
        "4 5",
        "45 mm left",
        "1/0 in",
        "1 3/4 1/2",
        "1e3",
        "0x20",
        "\N{FULLWIDTH DIGIT FOUR} km",
        "9" * 500,
        "--30",
        "3/",
        "/4",
    ],
)
def test_what_is_no_figure_is_refused(words):
    with pytest.raises(ValueError, match=r"must be a figure|below the line"):
        offset_from_words(words, RIGHT, is_facing_tail=False)


@pytest.mark.parametrize("words", ["4001", "160 in", "9" * 39])
def test_offset_wider_than_any_belt_is_refused(words):
    with pytest.raises(ValueError, match="wider than any belt"):
        offset_from_words(words, RIGHT, is_facing_tail=False)


def test_side_and_minus_together_are_refused():
    with pytest.raises(ValueError, match="not both"):
        offset_from_words("-30", LEFT, is_facing_tail=False)


def test_offset_without_side_or_sign_is_refused():
    with pytest.raises(ValueError, match="to which side"):
        offset_from_words("30", None, is_facing_tail=False)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(words):
    try:
        offset_mm = offset_from_words(words, RIGHT, is_facing_tail=False)
    except ValueError:
        return

    assert offset_mm >= 0


@given(st.floats(0, 4000).map(lambda size: f"{size:.1f} mm"), st.booleans())
def test_mirrored_side_mirrors_the_offset(words, is_facing_tail):
    one = offset_from_words(words, LEFT, is_facing_tail=is_facing_tail)
    other = offset_from_words(words, RIGHT, is_facing_tail=is_facing_tail)

    assert one == -other
