"""What holds of every belt, whatever is done to it."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plant.loop.belt_life import Belting, Joint, Spot, Turn, count_from, cut_out, put_in, turned
from plant.loop.vocabulary import Side


def joints(belting: Belting) -> dict[object, float]:
    return {one.key: one.position_m for one in belting.joints}


# Whole centimetres: what a tape measure gives, and splices are never too near by accident.
def metres(least: int, most: int):
    return st.integers(least * 100, most * 100).map(lambda centimetres: centimetres / 100)


@st.composite
def beltings(draw):
    length_m = draw(metres(50, 500))
    places = draw(
        st.lists(
            st.integers(1, round(length_m * 100) - 1).map(lambda cm: cm / 100),
            max_size=6,
            unique=True,
        )
    )
    found = [Joint(f"S{number}", at) for number, at in enumerate((0.0, *sorted(places)))]
    marks = []
    for number in range(draw(st.integers(0, 4))):
        at = draw(st.integers(0, round(length_m * 100) - 1)) / 100
        long_m = draw(metres(0, 8))
        marks.append(
            Spot(f"M{number}", at, long_m, draw(st.sampled_from([None, Side.LEFT, Side.RIGHT])))
        )
    return Belting(
        length_m,
        tuple(found),
        tuple(sorted(marks, key=lambda one: (one.position_m, one.length_m))),
    )


@st.composite
def with_section(draw):
    """A belt and a section of it, perhaps across the reference splice."""
    belting = draw(beltings())
    start = draw(st.integers(0, round(belting.length_m * 100) - 1)) / 100
    long_m = draw(metres(1, int(belting.length_m) - 10))
    return belting, start, round((start + long_m) % belting.length_m, 2), long_m


def same(one: Belting, other: Belting, *, but: frozenset[object] = frozenset()) -> None:
    assert one.length_m == pytest.approx(other.length_m, abs=1e-5)
    mine = {key: at for key, at in joints(one).items() if key not in but}
    theirs = {key: at for key, at in joints(other).items() if key not in but}
    assert mine == pytest.approx(theirs, abs=1e-5)
    for left, right in zip(*map(_by_key, (one.spots, other.spots)), strict=True):
        assert (left.key, left.side) == (right.key, right.side)
        assert (left.position_m, left.length_m) == pytest.approx(
            (right.position_m, right.length_m), abs=1e-5
        )


def _by_key(found: tuple[Spot, ...]) -> list[Spot]:
    return sorted(found, key=lambda one: (str(one.key), one.position_m))


@given(with_section(), st.sampled_from(list(Turn)))
def test_positions_stay_on_the_belt(found, how):
    belting, start, end, long_m = found
    for after in (
        cut_out(belting, start, end, "new"),
        put_in(belting, start, long_m, "first", "second"),
        turned(belting, how),
        count_from(belting, belting.joints[-1].position_m),
    ):
        for one in (*after.joints, *after.spots):
            assert 0 <= one.position_m < after.length_m
        assert all(one.length_m <= after.length_m for one in after.spots)
        # One splice stays the reference.
        assert after.joints[0].position_m == 0


@given(with_section())
def test_length_is_neither_made_nor_lost(found):
    belting, start, end, long_m = found

    cut = cut_out(belting, start, end, "new")
    assert cut.length_m + long_m == pytest.approx(belting.length_m, abs=1e-5)
    again = put_in(cut, joints(cut)["new"], long_m, "first", "second")
    assert again.length_m == pytest.approx(belting.length_m, abs=1e-5)


@given(with_section(), st.data())
def test_a_section_out_and_as_much_in_elsewhere_keeps_distances(found, data):
    belting, start, end, long_m = found
    cut = cut_out(belting, start, end, "new")
    elsewhere = data.draw(st.integers(0, round(cut.length_m * 100) - 1)) / 100
    after = put_in(cut, elsewhere, long_m, "first", "second")

    before_m, cut_m, after_m = joints(belting), joints(cut), joints(after)
    kept = sorted(set(before_m) & set(after_m))
    for one in kept:
        for other in kept:
            way_m = (before_m[other] - before_m[one]) % belting.length_m
            crosses_out = (start - before_m[one]) % belting.length_m < way_m
            crosses_in = (
                0
                <= (elsewhere - cut_m[one]) % cut.length_m
                < ((cut_m[other] - cut_m[one]) % cut.length_m)
            )
            changed_m = long_m * (crosses_in - crosses_out)
            now_m = (after_m[other] - after_m[one]) % after.length_m
            assert (now_m - way_m - changed_m + 1e-4) % after.length_m < 2e-4


@given(with_section())
def test_what_was_put_in_can_be_cut_out_again(found):
    belting, start, _end, long_m = found
    longer = put_in(belting, start, long_m, "first", "second")
    opened = belting.joint_at(start)
    first = opened.key if opened else "first"

    back = cut_out(longer, joints(longer)[first], joints(longer)["second"], first)

    if all(
        one.position_m > start or one.position_m + one.length_m < start for one in belting.spots
    ):
        whole = [one for one in belting.spots if one.position_m + one.length_m < belting.length_m]
        if len(whole) == len(belting.spots):
            same(back, belting, but=frozenset({"first"}))
    assert {key: at for key, at in joints(back).items() if key != "first"} == pytest.approx(
        joints(belting), abs=1e-5
    )


@given(beltings(), st.sampled_from(list(Turn)))
def test_turned_twice_the_same_way_is_as_before(belting, how):
    same(turned(turned(belting, how), how), belting)


@given(beltings(), st.permutations(list(Turn)))
def test_two_ways_of_turning_make_the_third_in_either_order(belting, ways):
    one, other, third = ways

    same(turned(turned(belting, one), other), turned(belting, third))
    same(turned(turned(belting, other), one), turned(belting, third))


@given(with_section())
def test_a_belt_cut_and_turned_is_a_belt_turned_and_cut(found):
    belting, start, end, _long_m = found
    for how in Turn:
        mirrored = (start, end)
        if how is not Turn.ALONG:
            mirrored = tuple(round(-one % belting.length_m, 2) for one in (end, start))
        same(
            turned(cut_out(belting, start, end, "new"), how),
            cut_out(turned(belting, how), *mirrored, "new"),
        )


@given(with_section())
def test_counting_from_elsewhere_and_cutting_commute(found):
    belting, start, end, _long_m = found
    last = belting.joints[-1]
    cut = cut_out(belting, start, end, "new")
    assume(last.key in joints(cut))

    counted = count_from(belting, last.position_m)
    there = [round((one - last.position_m) % belting.length_m, 2) for one in (start, end)]

    same(count_from(cut, joints(cut)[last.key]), cut_out(counted, *there, "new"))


@given(beltings(), st.data())
def test_two_sections_apart_are_cut_in_either_order(belting, data):
    cuts = data.draw(
        st.lists(
            st.integers(1, round(belting.length_m * 100) - 1), min_size=4, max_size=4, unique=True
        ).map(lambda found: [one / 100 for one in sorted(found)])
    )
    first, first_end, second, second_end = cuts
    assume(belting.length_m - (first_end - first) - (second_end - second) > 2)
    one_way = cut_out(cut_out(belting, second, second_end, "b"), first, first_end, "a")
    moved = round(first_end - first, 2)

    other_way = cut_out(
        cut_out(belting, first, first_end, "a"),
        round(second - moved, 2),
        round(second_end - moved, 2),
        "b",
    )

    same(one_way, other_way)
