"""A form begins with the shift that a correction asks for, in the words the engine writes."""

from typing import Any

import pytest

from diagnostics.inference.correction.idlers import idler_shift_direction
from diagnostics.inference.correction.words import NO_SHIFT
from plant.loop.vocabulary import Run, Side
from workorders.shift_suggestion import suggested
from workorders.shift_ways import End, Moved, Way


def correction(direction: str, what: str = "", **more: Any) -> dict[str, Any]:
    usual = {"what": what, "where": "C9 to C12, 61.0 to 64.6 m", "move_mm": 2.5}
    return {**usual, "direction": direction, **more}


@pytest.mark.parametrize("side", Side)
@pytest.mark.parametrize(
    ("run", "moved"), [(Run.CARRYING, Moved.FRAME), (Run.RETURN, Moved.HANGER)]
)
def test_an_idler_is_advanced_in_belt_travel_on_either_run(
    side: Side, run: Run, moved: Moved
) -> None:
    asked = correction(idler_shift_direction(side, run))

    assert suggested(asked) == {
        "stations": "C9 to C12",
        "moved_mm": 2.5,
        "moved": moved,
        "end": End(side.value),
        "way": Way.WITH_TRAVEL,
    }


@pytest.mark.parametrize(
    ("direction", "moved", "end", "way"),
    [
        ("left bearing away from the head, by what the measuring shows",
         Moved.BEARING, End.LEFT, Way.WITH_TRAVEL),
        ("right bearing up, by what the measuring shows", Moved.BEARING, End.RIGHT, Way.UP),
        ("right bearing down, by what the measuring shows", Moved.BEARING, End.RIGHT, Way.DOWN),
        ("structure toward the left", Moved.STRUCTURE, End.BOTH, Way.TO_LEFT),
        ("material toward the right", Moved.CHUTE, End.BOTH, Way.TO_RIGHT),
    ],
)  # fmt: skip
def test_other_directions_are_read_too(direction: str, moved: Moved, end: End, way: Way) -> None:
    found = suggested(correction(direction, where="HEAD at 60.0 m on the carrying run"))

    assert (found["moved"], found["end"], found["way"]) == (moved, end, way)
    assert found["stations"] == "HEAD"


def test_what_a_direction_does_not_settle_stays_empty() -> None:
    found = suggested(correction("left bearing toward the head, by what the measuring shows"))

    assert "way" not in found


def test_a_structure_that_is_shifted_nobody_says_where_to_has_no_way() -> None:
    found = suggested(correction("structure, by what the measuring shows"))

    assert found["end"] is End.BOTH
    assert "way" not in found


@pytest.mark.parametrize("asked", [None, {}, correction(NO_SHIFT, move_mm=None)])
def test_a_mend_that_is_no_shift_suggests_none(asked: dict[str, Any] | None) -> None:
    assert suggested(asked) == {}
