"""Where splices and marks are after a belt was worked on."""

import pytest

from plant.loop.belt_life import (
    Belting,
    CannotBe,
    Joint,
    Spot,
    Turn,
    count_from,
    cut_out,
    put_in,
    splice_at,
    turned,
)
from plant.loop.vocabulary import Side

# A belt of 100 m, its reference splice, another one, an edge damage and a repair.
BELT = Belting(
    100.0,
    (Joint("S1", 0.0), Joint("S2", 60.0)),
    (Spot("edge", 30.0, 4.0, Side.LEFT), Spot("repair", 80.0, 0.0, Side.RIGHT)),
)


def joints(belting: Belting) -> dict[object, float]:
    return {one.key: one.position_m for one in belting.joints}


def spots(belting: Belting) -> list[tuple[object, float, float]]:
    return [(one.key, one.position_m, one.length_m) for one in belting.spots]


def test_what_lies_behind_a_cut_moves_up():
    cut = cut_out(BELT, 40, 55, "new")

    assert cut.length_m == 85
    assert joints(cut) == {"S1": 0, "new": 40, "S2": 45}
    assert spots(cut) == [("edge", 30, 4), ("repair", 65, 0)]


def test_what_stands_inside_a_cut_goes():
    cut = cut_out(BELT, 55, 85, "new")

    assert joints(cut) == {"S1": 0, "new": 55}
    assert spots(cut) == [("edge", 30, 4)]


def test_a_mark_that_reaches_into_a_cut_is_shortened():
    assert spots(cut_out(BELT, 32, 50, "new"))[0] == ("edge", 30, 2)
    assert spots(cut_out(BELT, 20, 33, "new"))[0] == ("edge", 20, 1)


def test_a_cut_within_a_mark_leaves_one_shorter_mark():
    assert spots(cut_out(BELT, 31, 33, "new"))[0] == ("edge", 30, 2)


def test_a_splice_on_the_line_of_a_cut_is_replaced_by_the_new_one():
    assert joints(cut_out(BELT, 60, 70, "new")) == {"S1": 0, "new": 60}
    assert joints(cut_out(BELT, 50, 60, "new")) == {"S1": 0, "new": 50}


@pytest.mark.parametrize(("from_m", "to_m"), [(90, 10), (0, 20), (80, 100)])
def test_a_cut_that_takes_the_reference_along_counts_from_the_new_splice(from_m, to_m):
    cut = cut_out(BELT, from_m, to_m, "new")

    assert cut.length_m == 80
    assert joints(cut)["new"] == 0
    assert "S1" not in joints(cut)
    # From the end of the section on, in the direction of travel.
    assert joints(cut)["S2"] == (60 - to_m) % 100


def test_what_lies_behind_a_section_put_in_moves_back():
    longer = put_in(BELT, 40, 15, "first", "second")

    assert longer.length_m == 115
    assert joints(longer) == {"S1": 0, "first": 40, "second": 55, "S2": 75}
    assert spots(longer) == [("edge", 30, 4), ("repair", 95, 0)]


def test_a_section_put_in_at_a_splice_keeps_that_splice():
    assert joints(put_in(BELT, 60, 15, "first", "second")) == {"S1": 0, "S2": 60, "second": 75}
    assert joints(put_in(BELT, 0, 15, "first", "second")) == {"S1": 0, "second": 15, "S2": 75}


def test_a_mark_across_the_opened_place_becomes_two():
    assert spots(put_in(BELT, 31, 10, "first", "second"))[:2] == [
        ("edge", 30, 1),
        ("edge", 41, 3),
    ]


def test_counting_from_another_splice_moves_nothing_on_the_belt():
    counted = count_from(BELT, 60)

    assert joints(counted) == {"S2": 0, "S1": 40}
    assert spots(counted) == [("repair", 20, 0), ("edge", 70, 4)]


def test_turned_along_its_length_only_sides_change():
    over = turned(BELT, Turn.ALONG)

    assert joints(over) == joints(BELT)
    assert [one.side for one in over.spots] == [Side.RIGHT, Side.LEFT]


def test_turned_end_for_end_positions_count_the_other_way():
    over = turned(BELT, Turn.ENDS)

    assert joints(over) == {"S1": 0, "S2": 40}
    # The damage from 30 to 34 m lies from 66 to 70 m now.
    assert spots(over) == [("repair", 20, 0), ("edge", 66, 4)]
    assert [one.side for one in over.spots] == [Side.RIGHT, Side.LEFT]


@pytest.mark.parametrize(
    ("make", "code", "field"),
    [
        (lambda: splice_at(BELT, 60.0004, "x"), "splice_there", "at_m"),
        (lambda: splice_at(BELT, 99.9999, "x"), "splice_there", "at_m"),
        (lambda: splice_at(BELT, 100, "x"), "off_the_belt", "at_m"),
        (lambda: splice_at(BELT, -1, "x"), "off_the_belt", "at_m"),
        (lambda: splice_at(BELT, float("nan"), "x"), "off_the_belt", "at_m"),
        (lambda: count_from(BELT, 50), "no_splice_there", "at_m"),
        (lambda: cut_out(BELT, 10, 10, "x"), "no_length", "to_m"),
        (lambda: cut_out(BELT, 0, 100, "x"), "no_length", "to_m"),
        (lambda: cut_out(BELT, 10, 9.5, "x"), "nothing_left", "to_m"),
        (lambda: cut_out(BELT, 10, 101, "x"), "off_the_belt", "to_m"),
        (lambda: put_in(BELT, 10, 0, "x", "y"), "no_length", "length_m"),
        (lambda: put_in(BELT, 10, float("nan"), "x", "y"), "no_length", "length_m"),
        (lambda: put_in(BELT, 110, 5, "x", "y"), "off_the_belt", "at_m"),
    ],
)
def test_what_cannot_be_is_refused_with_the_field(make, code, field):
    with pytest.raises(CannotBe) as refusal:
        make()

    assert (refusal.value.code, refusal.value.field) == (code, field)
