"""What of a text is marked as looked for, and which places of it are shown."""

import pytest
from hypothesis import given
from hypothesis import settings as settings_of
from hypothesis import strategies as st

from diagnostics.inference.search_marks import MOST_PLACES, Wanted, marked, places

WANTED = Wanted(frozenset({"lagging", "rubber cover of the pulley", "walks off"}))


def told(stretches: list[tuple[str, bool]]) -> list[str]:
    return [text for text, is_it in stretches if is_it]


def test_endings_are_marked_with_the_word() -> None:
    assert told(marked("Lagging lost; it was lagged anew", WANTED)) == ["Lagging", "lagged"]


def test_a_phrase_is_marked_as_one_and_its_words_by_themselves_are_not() -> None:
    assert told(marked("the pulley of the belt walked off the frame", WANTED)) == ["walked off"]


@pytest.mark.parametrize("text", ["", "nothing here", "?!"])
def test_what_holds_nothing_is_left_unmarked(text: str) -> None:
    assert told(marked(text, WANTED)) == []


@given(st.text(max_size=300))
@settings_of(max_examples=60)
def test_marking_changes_no_letter_of_a_text(text: str) -> None:
    assert "".join(one for one, _is_it in marked(text, WANTED)) == text


def test_the_lines_that_hold_most_are_shown_in_their_order() -> None:
    lines = ["nothing", "the lagging", "it walks off; lagging gone", "lagging again", ""]

    shown = ["".join(text for text, _is_it in one) for one in places(lines, WANTED)]

    assert shown == ["the lagging", "it walks off; lagging gone"]
    assert len(shown) == MOST_PLACES


def test_a_long_line_is_cut_at_words_around_what_was_looked_for() -> None:
    line = "before " * 60 + "the lagging is gone " + "behind " * 60

    (place,) = places([line], WANTED)

    text = "".join(one for one, _is_it in place)
    assert told(place) == ["lagging"]
    assert text.startswith("… before")
    assert text.endswith("behind …")
    assert len(text) < 300


def test_without_anything_to_mark_the_first_line_begins() -> None:
    assert places(["", "first", "second"], Wanted(frozenset())) == [[("first", False)]]
    assert places(["", ""], WANTED) == []
