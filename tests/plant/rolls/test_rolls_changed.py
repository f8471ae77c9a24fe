"""Rolls changed are written down by set, and stay with their sets whatever happens to the rows."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from plant.loop.idler_changes import PutIn, Renumber, Shift, TakeOut
from plant.loop.rolls import RollPlace, WhyChanged
from plant.models import Component, Conveyor, RollChange, RollChangeChange, User
from plant.roles import Role
from plant.selectors import idlers
from plant.services import changing_rolls, keeping_components, keeping_idlers
from plant.services.changing_rolls import RollIsChangedThen
from plant.services.register_refusals import FigureRefused
from tests.plant.factories import make_complete_conveyor, make_person
from tests.plant.roll_rows import CENTRE, LEFT, change

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 10, 8, tzinfo=UTC)


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor()


@pytest.fixture
def fitter(conveyor: Conveyor) -> User:
    return make_person(Role.TECHNICIAN, plants=[conveyor.plant])


def change_sets(conveyor: Conveyor, what: Any) -> None:
    keeping_idlers.change_idlers(
        conveyor_id=conveyor.pk, change=what, stamp=idlers.stamp_of(conveyor), by=None
    )


def stands_at(row: RollChange) -> str:
    """Name and place of the set whose roll it was, as the register has it now."""
    row.refresh_from_db()
    assert row.component is not None
    assert row.set_number is not None
    station = row.component.as_part().stations()[row.set_number - 1]
    return f"{station.name} at {station.position_m:g}"


def test_many_sets_and_rolls_are_written_down_at_once(conveyor: Conveyor):
    made = change(conveyor, "12, 14, 17-19", LEFT, CENTRE, fitted="133 mm, 6305")

    assert len(made) == 10
    kept = RollChange.objects.filter(set_number=14).order_by("roll")
    assert [(one.set_name, one.roll, one.fitted) for one in kept] == [
        ("C14", "centre", "133 mm, 6305"),
        ("C14", "left_wing", "133 mm, 6305"),
    ]


@pytest.mark.parametrize(
    ("sets", "rolls", "more", "field"),
    [
        ("61", (LEFT,), {}, "sets"),
        ("", (LEFT,), {}, "sets"),
        ("5", (RollPlace.LEFT_INNER,), {}, "rolls"),
        ("5", (LEFT,), {"changed_on": date(2026, 3, 11)}, "changed_on"),
        ("5", (LEFT,), {"of": "R"}, "rolls"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field_and_nothing_is_kept(
    conveyor: Conveyor, sets, rolls, more, field
):
    with pytest.raises(FigureRefused) as refused:
        change(conveyor, f"4, {sets}" if sets else "", *rolls, **more)

    assert refused.value.field == field
    assert not RollChange.objects.exists()


def test_a_roll_is_not_changed_before_its_group_was_fitted(conveyor: Conveyor):
    Component.objects.filter(name="C").update(fitted_on=date(2026, 3, 1))

    with pytest.raises(FigureRefused, match="after that day"):
        change(conveyor, "5", changed_on=date(2026, 2, 28))


def test_the_same_roll_on_the_same_day_is_refused_once_more(conveyor: Conveyor):
    change(conveyor, "5")

    with pytest.raises(RollIsChangedThen, match="C5"):
        change(conveyor, "4-6")

    assert RollChange.objects.count() == 1


def test_changes_stay_with_their_sets_when_rows_are_split(conveyor: Conveyor):
    rows = {number: change(conveyor, str(number))[0] for number in (5, 19, 21, 60)}

    change_sets(conveyor, TakeOut("C20"))

    assert {number: stands_at(row) for number, row in rows.items()} == {
        number: f"C{number} at {6 + 1.5 * (number - 1):g}" for number in rows
    }


def test_changes_stay_with_their_sets_through_putting_in_shifting_and_numbers(conveyor: Conveyor):
    row = change(conveyor, "30")[0]

    change_sets(conveyor, PutIn("C", 34_000, is_renumbered=True))
    assert stands_at(row) == "C31 at 49.5"
    change_sets(conveyor, Shift("C", 300, from_number=31))
    assert stands_at(row) == "C31 at 49.8"
    change_sets(conveyor, Renumber("C", 31, 131))
    assert stands_at(row) == "C131 at 49.8"
    # What it was called when it was written down is not rewritten.
    assert row.set_name == "C30"


def test_a_set_taken_out_keeps_its_name_and_gets_its_changes_back_when_it_comes_back(
    conveyor: Conveyor,
):
    row, other = change(conveyor, "20")[0], change(conveyor, "21")[0]

    change_sets(conveyor, TakeOut("C20"))
    row.refresh_from_db()
    assert (row.set_number, row.set_name, row.stood_mm) == (None, "C20", 34_500)

    change_sets(conveyor, PutIn("C", 34_500, "C20"))
    assert stands_at(row) == "C20 at 34.5"
    assert stands_at(other) == "C21 at 36"


def test_a_set_fitted_new_at_that_place_has_no_old_rolls(conveyor: Conveyor):
    row = change(conveyor, "20", changed_on=date(2026, 1, 5))[0]

    change_sets(conveyor, TakeOut("C20"))
    change_sets(conveyor, PutIn("C", 34_500, "C20", fitted_on=date(2026, 3, 1)))

    row.refresh_from_db()
    assert row.set_number is None


def test_changes_outlive_the_group_that_is_removed(conveyor: Conveyor):
    row = change(conveyor, "3", CENTRE, of="R")[0]

    keeping_components.remove_component(
        conveyor_id=conveyor.pk, component_id=row.component_id, by=None
    )

    row.refresh_from_db()
    assert (row.component, row.set_name) == (None, "R3")


def test_splitting_a_group_is_no_news_of_the_rolls_that_stay(conveyor: Conveyor):
    stays, moves = change(conveyor, "5")[0], change(conveyor, "30")[0]

    change_sets(conveyor, TakeOut("C20"))

    told = RollChangeChange.objects.filter(pgh_label="changed").values_list("pgh_obj", flat=True)
    assert moves.pk in told
    assert stays.pk not in told


def test_one_change_or_all_of_one_time_are_taken_back_and_put_back(
    conveyor: Conveyor, fitter: User
):
    first, second, third = change(conveyor, "5-7")
    alone = change(conveyor, "9")[0]

    def back(row: RollChange, with_others: bool) -> int:
        return changing_rolls.take_back_change(
            conveyor_id=conveyor.pk,
            change_id=row.pk,
            with_others=with_others,
            by=fitter,
            now=NOW,
        )

    assert back(first, False) == 1
    assert back(second, True) == 2
    counting = RollChange.objects.filter(undone_at__isnull=True)
    assert counting.get() == alone
    changing_rolls.put_back_change(conveyor_id=conveyor.pk, change_id=third.pk, by=fitter)
    assert set(counting) == {alone, third}


def test_a_change_is_not_put_back_beside_another_of_that_day(conveyor: Conveyor, fitter: User):
    wrong = change(conveyor, "5")[0]
    changing_rolls.take_back_change(
        conveyor_id=conveyor.pk, change_id=wrong.pk, with_others=False, by=fitter, now=NOW
    )
    change(conveyor, "5", why=WhyChanged.SEIZED)

    with pytest.raises(RollIsChangedThen):
        changing_rolls.put_back_change(conveyor_id=conveyor.pk, change_id=wrong.pk, by=fitter)
