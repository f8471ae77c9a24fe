"""How many rolls a set has and what they are called; which sets somebody means."""

import pytest

from plant.loop.idler_sets import GroupRow, sets_of
from plant.loop.parts import Part
from plant.loop.rolls import RollPlace, rolls_of
from plant.loop.set_choice import CannotChoose, choose_sets
from plant.loop.vocabulary import ComponentKind, Run, Side

KIND = ComponentKind


def group(kind: ComponentKind = KIND.TROUGHING_IDLERS, name: str = "C", **more) -> Part:
    run = more.pop("run", Run.CARRYING)
    given = {"first_m": 6.0, "spacing_m": 1.2, "count": 20, "is_numbered": True, **more}
    return Part(name, kind, run, **given)


@pytest.mark.parametrize(
    ("kind", "run", "trough_deg", "count"),
    [
        (KIND.TROUGHING_IDLERS, Run.CARRYING, 35, 3),
        (KIND.TROUGHING_IDLERS, Run.CARRYING, 0, 1),
        (KIND.IMPACT_IDLERS, Run.CARRYING, 35, 3),
        (KIND.TRANSITION_IDLERS, Run.CARRYING, 20, 3),
        (KIND.SELF_ALIGNING_IDLER, Run.CARRYING, 35, 3),
        (KIND.SELF_ALIGNING_IDLER, Run.RETURN, 35, 1),
        (KIND.RETURN_IDLERS, Run.RETURN, 35, 1),
        (KIND.VEE_RETURN_IDLERS, Run.RETURN, 35, 2),
        (KIND.BELT_CLEANER, Run.RETURN, 35, 0),
    ],
)
def test_rolls_follow_from_kind_run_and_trough(kind, run, trough_deg, count):
    assert len(rolls_of(group(kind, run=run), trough_deg)) == count


def test_a_group_may_have_other_rolls_than_usual():
    assert rolls_of(group(rolls_per_set=5), 35) == tuple(RollPlace)
    # Two rolls in a vee have no centre.
    assert rolls_of(group(KIND.RETURN_IDLERS, run=Run.RETURN, rolls_per_set=2), 35) == (
        RollPlace.LEFT_WING,
        RollPlace.RIGHT_WING,
    )


@pytest.mark.parametrize("count", range(1, 6))
def test_rolls_mirror_left_to_right(count):
    sides = [roll.side for roll in rolls_of(group(rolls_per_set=count), 35)]
    mirrored = [side.opposite if side else None for side in reversed(sides)]

    assert len(sides) == count
    assert sides == mirrored
    assert sides[0] is (Side.LEFT if count > 1 else None)


SETS = sets_of(
    [
        GroupRow(1, group(count=20)),
        GroupRow(2, group(name="C22…", set_prefix="C", first_number=22, first_m=32.0, count=3)),
        GroupRow(3, group(KIND.RETURN_IDLERS, "R2-", run=Run.RETURN, first_m=60.0, count=9)),
        GroupRow(
            4, group(KIND.RETURN_IDLERS, "Q", run=Run.RETURN, first_m=90.0, is_numbered=False)
        ),
    ]
)


def chosen(typed: str, series: str = "C") -> str:
    names = [
        one.name + ("" if one.number else f"/{one.place}")
        for one in choose_sets(typed, SETS, series)
    ]
    return " ".join(names)


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("12", "C12"),
        ("12, 14, 17-19", "C12 C14 C17 C18 C19"),
        ("17–19", "C17 C18 C19"),
        ("17 to 19; c3", "C3 C17 C18 C19"),
        ("C18-C20, 18", "C18 C19 C20"),
        # 21 was taken out; the range reaches into the row behind it.
        ("19-23", "C19 C20 C22 C23"),
        ("R2-5", "R2-5"),
        ("r2-3 - r2-5", "R2-3 R2-4 R2-5"),
        ("Q3-4", "Q/3 Q/4"),
    ],
)
def test_sets_are_meant_as_people_write_them(typed, names):
    assert chosen(typed) == names


def test_all_of_a_series_is_meant_by_its_name_or_all():
    assert len(choose_sets("all", SETS, "C")) == len(choose_sets("C", SETS)) == 23


@pytest.mark.parametrize(
    ("typed", "code", "said"),
    [
        ("", "empty", ""),
        (" , ;", "empty", ""),
        ("12, 21", "no_such_set", "21"),
        ("19-21", "no_such_set", "19-21"),
        ("99999", "no_such_set", "99999"),
        ("19-17", "backwards", "19-17"),
        ("C3-R2-5", "not_understood", "C3-R2-5"),
        ("C1-C2-C3", "not_understood", "C1-C2-C3"),
        ("twelve", "not_understood", "twelve"),
        ("1.5", "no_such_set", "1.5"),
        ("-3", "no_such_set", "-3"),
        ("1" * 401, "too_long", ""),
    ],
)
def test_what_means_no_set_is_refused_with_what_was_typed(typed, code, said):
    with pytest.raises(CannotChoose) as refused:
        choose_sets(typed, SETS, "C")

    assert (refused.value.code, refused.value.said) == (code, said)
