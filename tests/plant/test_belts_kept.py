"""Belts, splices and marks in the register: what is kept, what is refused."""

from datetime import date

import pytest

from plant.models import Belt, BeltMark, Conveyor, Splice
from plant.selectors.loops import fitted_belt
from plant.services import keeping_belts
from plant.services.register_refusals import (
    BeltIsFitted,
    FigureRefused,
    NameTaken,
    RowIsGone,
    StaleForm,
)
from tests.plant.factories import make_complete_conveyor, make_conveyor

pytestmark = pytest.mark.django_db


BELT = {"width_mm": 1200.0, "length_m": 105.0}


def fit(conveyor: Conveyor) -> Belt:
    return keeping_belts.fit_belt(conveyor_id=conveyor.pk, values=BELT, by=None)


def take_off(belt: Belt, day: date) -> Belt:
    return keeping_belts.take_off_belt(
        conveyor_id=belt.conveyor_id,
        belt_id=belt.pk,
        removed_on=day,
        today=date(2026, 11, 25),
        by=None,
    )


def splice(
    belt: Belt, splice_id: int | None = None, version: int | None = None, **values
) -> Splice:
    return keeping_belts.keep_splice(
        conveyor_id=belt.conveyor_id,
        belt_id=belt.pk,
        splice_id=splice_id,
        values=values,
        version=version,
        by=None,
    )


def test_a_second_belt_is_refused_while_one_is_fitted():
    conveyor = make_conveyor()
    fit(conveyor)

    with pytest.raises(BeltIsFitted, match="take it off first"):
        fit(conveyor)

    assert conveyor.belts.count() == 1


def test_a_belt_taken_off_makes_room_and_can_be_put_back_until_another_is_on():
    conveyor = make_conveyor()
    old = fit(conveyor)
    put_back = {"conveyor_id": conveyor.pk, "belt_id": old.pk, "by": None}

    take_off(old, date(2026, 11, 20))
    keeping_belts.put_belt_back(**put_back)
    assert fitted_belt(conveyor) == old
    take_off(old, date(2026, 11, 20))
    new = fit(conveyor)

    with pytest.raises(BeltIsFitted, match="Another belt"):
        keeping_belts.put_belt_back(**put_back)
    assert fitted_belt(conveyor) == new


@pytest.mark.parametrize("day", [date(2026, 11, 26), date(2024, 12, 31)])
def test_a_belt_is_not_taken_off_in_the_future_or_before_it_was_fitted(day):
    belt = make_complete_conveyor().belts.get()
    Belt.objects.filter(pk=belt.pk).update(fitted_on=date(2025, 1, 1))

    with pytest.raises(FigureRefused) as refused:
        take_off(belt, day)

    assert refused.value.field == "removed_on"


@pytest.mark.parametrize("at_m", [105.0, 200.0])
def test_a_splice_past_the_end_of_the_belt_is_refused(at_m):
    belt = fit(make_conveyor())

    with pytest.raises(FigureRefused, match=r"105\.0 m long") as refused:
        splice(belt, name="S1", belt_position_m=at_m)

    assert refused.value.field == "belt_position_m"
    assert not belt.splices.exists()


def test_splices_have_names_and_places_of_their_own():
    belt = fit(make_conveyor())
    first = splice(belt, name="S1", belt_position_m=0.0)

    with pytest.raises(NameTaken):
        splice(belt, name="s1", belt_position_m=30.0)
    with pytest.raises(FigureRefused, match="stands there already"):
        splice(belt, name="S2", belt_position_m=0.0)
    kept = splice(belt, first.pk, 1, belt_position_m=2.0)

    assert (kept.belt_position_m, kept.version) == (2.0, 2)
    with pytest.raises(StaleForm):
        splice(belt, first.pk, 1, belt_position_m=3.0)


def test_a_belt_cannot_become_shorter_than_its_splices_and_marks_need():
    belt = fit(make_conveyor())
    change = {"conveyor_id": belt.conveyor_id, "belt_id": belt.pk, "version": None, "by": None}
    splice(belt, name="S1", belt_position_m=60.0)
    keeping_belts.keep_mark(
        conveyor_id=belt.conveyor_id,
        belt_id=belt.pk,
        values={"kind": "repair", "belt_position_m": 80.0},
        by=None,
    )

    for length_m in (55.0, 75.0):
        with pytest.raises(FigureRefused, match="cannot be shorter"):
            keeping_belts.edit_belt(values={"length_m": length_m}, **change)
    keeping_belts.edit_belt(values={"length_m": 90.0}, **change)

    belt.refresh_from_db()
    assert belt.length_m == 90


def test_marks_are_kept_changed_and_removed():
    belt = fit(make_conveyor())
    on = {"conveyor_id": belt.conveyor_id, "belt_id": belt.pk, "by": None}
    values = {"kind": "tear", "belt_position_m": 12.0, "side": "left"}

    mark = keeping_belts.keep_mark(values=values, **on)
    keeping_belts.keep_mark(mark_id=mark.pk, values={"side": "right"}, version=1, **on)

    assert BeltMark.objects.get().side == "right"
    with pytest.raises(FigureRefused, match="longer than the belt"):
        keeping_belts.keep_mark(mark_id=mark.pk, values={"length_m": 300.0}, version=2, **on)
    keeping_belts.remove_mark(mark_id=mark.pk, **on)
    with pytest.raises(RowIsGone):
        keeping_belts.remove_mark(mark_id=mark.pk, **on)


def test_a_splice_is_removed_once():
    belt = fit(make_conveyor())
    made = splice(belt, name="S1", belt_position_m=0.0)
    on = {"conveyor_id": belt.conveyor_id, "belt_id": belt.pk, "splice_id": made.pk, "by": None}

    keeping_belts.remove_splice(**on)

    with pytest.raises(RowIsGone):
        keeping_belts.remove_splice(**on)
