"""Idler sets put in, taken out, pushed on and numbered anew; rows follow, other sets stay."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.loop.checks import check_parts
from plant.loop.idler_changes import Change, PutIn, Renumber, Shift, TakeOut, carry_out
from plant.loop.idler_sets import CannotChange, GroupRow
from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind, Run
from tests.plant.idler_rows import group, places, shape

K = ComponentKind
SIXTY = [group(1, "C", 6.0, 60)]


def after(rows: list[GroupRow], change: Change) -> tuple[GroupRow, ...]:
    return carry_out(rows, change).regrouping.rows


def test_a_set_taken_out_leaves_two_rows_and_every_other_set_its_name_and_place():
    rows = after(SIXTY, TakeOut("c20"))

    assert shape(rows) == [("C1", 6.0, 19), ("C21", 30.0, 40)]
    left = places(SIXTY)
    del left["C20"]
    assert places(rows) == left
    assert [row.key for row in rows] == [1, None]


def test_a_set_taken_out_with_the_numbers_closed_up():
    rows = after(SIXTY, TakeOut("C20", is_renumbered=True))

    assert shape(rows) == [("C1", 6.0, 19), ("C20", 30.0, 40)]


def test_the_first_set_taken_out_leaves_one_row_that_begins_with_two():
    rows = after(SIXTY, TakeOut("C1"))

    assert shape(rows) == [("C2", 7.2, 59)]
    assert (rows[0].key, rows[0].part.name) == (1, "C")


def test_a_set_put_in_between_two_stands_alone_under_its_own_name():
    change = PutIn("C", 29_400, "C20A", kind=K.SELF_ALIGNING_IDLER, fitted_on=date(2026, 3, 1))

    rows = after(SIXTY, change)

    assert shape(rows) == [("C1", 6.0, 20), ("C20A", 29.4, 1), ("C21", 30.0, 40)]
    new = rows[1]
    assert (new.part.kind, new.fitted_on) == (K.SELF_ALIGNING_IDLER, date(2026, 3, 1))
    # It carries the belt half way to each neighbour.
    assert new.part.spacing_m == 0.6


def test_a_set_put_in_with_numbers_moved_up():
    rows = after(SIXTY, PutIn("C", 29_400, is_renumbered=True))

    assert shape(rows) == [("C1", 6.0, 20), ("C21", 29.4, 1), ("C22", 30.0, 40)]


def test_sets_from_a_number_on_are_shifted_and_those_before_stay():
    rows = after(SIXTY, Shift("C", 300, from_number=21))

    assert shape(rows) == [("C1", 6.0, 20), ("C21", 30.3, 40)]


def test_a_whole_group_is_shifted_in_one_row():
    assert shape(after(SIXTY, Shift("C", -1500))) == [("C1", 4.5, 60)]


def test_a_series_in_several_rows_is_shifted_as_one():
    rows = after([*after(SIXTY, TakeOut("C20"))], Shift("C", 500))

    assert shape(rows) == [("C1", 6.5, 19), ("C21", 30.5, 40)]


def test_numbers_from_one_on_are_given_anew_and_nothing_moves():
    rows = after(SIXTY, Renumber("C", 31, 101))

    assert shape(rows) == [("C1", 6.0, 30), ("C101", 42.0, 30)]
    assert sorted(places(rows).values()) == sorted(places(SIXTY).values())


def test_other_groups_are_left_as_they_are():
    other = group(2, "D", 100.0, 5)

    rows = after([*SIXTY, other], TakeOut("C20"))

    assert rows[-1] == other


def test_a_reading_finds_its_set_again():
    outcome = carry_out(SIXTY, TakeOut("C20"))

    moved = outcome.regrouping.moved
    assert moved[1, 19] == (0, 19)
    assert moved[1, 21] == (1, 1)
    assert (1, 20) not in moved


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (TakeOut("C61"), "no_such_set"),
        (TakeOut(""), "no_such_set"),
        (PutIn("D", 1000, "D1"), "no_such_series"),
        (PutIn("C", 6_000, "X"), "place_taken"),
        (PutIn("C", 6_600), "name_needed"),
        (PutIn("C", 6_600, "C"), "name_taken"),
        (PutIn("C", 6_600, "c2"), "name_taken"),
        (PutIn("C", 6_600, "X", is_renumbered=True), "name_with_numbers"),
        (PutIn("C", 8_000, "C1", is_renumbered=True), "number_out_of_order"),
        (PutIn("C", -1, "X"), "before_the_loop"),
        (PutIn("C", 6_600, "X", kind=K.RETURN_IDLERS), "wrong_run"),
        (PutIn("C", 6_600, "X", kind=K.BELT_CLEANER), "no_idler"),
        (Shift("C", 0), "no_way"),
        (Shift("C", -6_001), "before_the_loop"),
        (Shift("C", -1_200, from_number=21), "same_place"),
        (Shift("C", -1_300, from_number=21), "past_another"),
        (Shift("C", 100, from_number=61), "no_such_number"),
        (Renumber("C", 61, 5), "no_such_number"),
        (Renumber("C", 10, 9), "number_taken"),
        (Renumber("C", 10, 10), "no_way"),
        (Renumber("C", 10, 99_999), "number_too_large"),
    ],
)
def test_what_cannot_be_is_refused(change: Change, code: str):
    with pytest.raises(CannotChange) as refused:
        carry_out(SIXTY, change)

    assert refused.value.code == code


def test_a_group_without_numbers_is_not_torn_apart():
    plain = replace(SIXTY[0], part=replace(SIXTY[0].part, is_numbered=False))
    beside = group(2, "D", 100.0, 3)

    for change in (TakeOut("C"), PutIn("D", 30_500, "X")):
        with pytest.raises(CannotChange) as refused:
            carry_out([plain, beside], change)
        assert refused.value.code == "not_numbered"
    assert shape(after([plain], Shift("C", 100))) == [("C", 6.1, 60)]


def test_a_row_of_another_kind_keeps_its_name_for_itself():
    head = GroupRow(9, Part("C21…", K.HEAD_PULLEY, Run.CARRYING, 100.0))

    rows = after([*SIXTY, head], TakeOut("C20"))

    assert rows[1].part.name not in {"C", "C21…"}
    assert shape(rows)[1] == ("C21", 30.0, 40)


@st.composite
def idler_rows(draw: st.DrawFn) -> list[GroupRow]:
    rows, at_mm = [], draw(st.integers(0, 5000))
    for key, prefix in enumerate(draw(st.sampled_from(["C", "CD", "CDE", "I"])), 1):
        count, spacing_mm = draw(st.integers(1, 8)), draw(st.integers(200, 3000))
        row = group(key, prefix, at_mm / 1000, count, spacing_mm / 1000)
        first = draw(st.integers(1, 30))
        rows.append(replace(row, part=replace(row.part, first_number=first)))
        at_mm += spacing_mm * count + draw(st.integers(1, 2000))
    return rows


@st.composite
def changes(draw: st.DrawFn) -> Change:
    prefix, number = draw(st.sampled_from(["C", "D", "E", "I"])), draw(st.integers(1, 40))
    flag = draw(st.booleans())
    return draw(
        st.sampled_from(
            [
                TakeOut(f"{prefix}{number}", flag),
                PutIn(prefix, draw(st.integers(0, 30_000)), "" if flag else "X7", flag),
                PutIn(prefix, draw(st.integers(0, 30_000)), f"{prefix}{number}", flag),
                Shift(prefix, draw(st.integers(-2000, 2000)), number if flag else None),
                Renumber(prefix, number, draw(st.integers(1, 60))),
            ]
        )
    )


_COUNTS = {TakeOut: -1, PutIn: 1, Shift: 0, Renumber: 0}


@given(idler_rows(), changes())
def test_any_change_keeps_the_count_the_untouched_places_and_a_possible_run(rows, change):
    try:
        outcome = carry_out(rows, change)
    except CannotChange:
        return
    made = outcome.regrouping.rows
    old, new = places(rows), places(made)

    assert len(new) == len(old) + _COUNTS[type(change)]
    assert sum(row.part.count for row in made) == len(new)
    check_parts(row.part for row in made)
    if not isinstance(change, Shift):
        assert len(set(old.values()) & set(new.values())) == min(len(old), len(new))
    others = {name: at for name, at in old.items() if name[0] != _prefix_of(change)}
    assert others.items() <= new.items()
    assert len({row.key for row in made if row.key}) == len([row for row in made if row.key])


@given(idler_rows(), changes())
def test_any_change_is_taken_back_by_its_reverse(rows, change):
    try:
        outcome = carry_out(rows, change)
    except CannotChange:
        return
    if outcome.reverse is None:
        return
    made = [
        row if row.key else replace(row, key=100 + number)
        for number, row in enumerate(outcome.regrouping.rows)
    ]

    back = carry_out(made, outcome.reverse).regrouping.rows

    assert places(back) == places(rows)
    assert len(back) == len(rows)


def _prefix_of(change: Change) -> str:
    said = change.name if isinstance(change, TakeOut) else change.series
    return said[0]
