"""Shifts are written down, taken back, and undone by an order or on the spot."""

import uuid
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from plant.models import Conveyor
from plant.services.register_refusals import FigureRefused
from tests.plant import factories as register
from tests.workorders import factories, shifted
from tests.workorders.factories import NOW
from workorders.models import ShiftMade, WorkOrder
from workorders.order_states import OrderState
from workorders.selectors import order_log
from workorders.selectors import shifts as selectors
from workorders.services import moving, recording_shifts, undoing_shifts
from workorders.shift_ways import End, Moved, Way

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=2)


@pytest.fixture
def conveyor() -> Conveyor:
    return register.make_complete_conveyor(left_words="sea side", right_words="shed side")


def undo(conveyor: Conveyor, *rows: ShiftMade) -> WorkOrder:
    return undoing_shifts.undo_by_order(
        conveyor_id=conveyor.pk, shift_ids=[one.pk for one in rows], by=None, now=LATER
    )


def undo_now(conveyor: Conveyor, *rows: ShiftMade) -> int:
    return undoing_shifts.undo_on_the_spot(
        conveyor_id=conveyor.pk, shift_ids=[one.pk for one in rows], by=None, now=LATER
    )


def stands(row: ShiftMade) -> bool:
    return ShiftMade.objects.standing().filter(pk=row.pk).exists()


def test_a_range_of_sets_is_written_down_set_by_set(conveyor: Conveyor) -> None:
    made = shifted.shift(conveyor, "C3 to C5, Head pulley")

    assert sorted(one.station for one in made) == ["C3", "C4", "C5", "Head pulley"]
    assert len({one.together for one in made}) == 1
    by_name = {one.station: one for one in made}
    assert by_name["C4"].position_m > by_name["C3"].position_m
    assert by_name["C3"].kind == "troughing_idlers"


def test_sending_the_same_twice_writes_it_down_once(conveyor: Conveyor) -> None:
    mark = uuid.uuid4()

    first = shifted.shift(conveyor, together=mark)
    again = shifted.shift(conveyor, together=mark)

    assert [one.pk for one in again] == [one.pk for one in first]
    assert ShiftMade.objects.count() == 1


@pytest.mark.parametrize(
    ("how", "field"),
    [
        ({"stations": "Z99"}, "stations"),
        ({"stations": " "}, "stations"),
        ({"stations": "C5-C3"}, "stations"),
        ({"moved_mm": 0.0}, "moved_mm"),
        ({"moved_mm": -2.0}, "moved_mm"),
        ({"moved_mm": 500.1, "is_sure": True}, "moved_mm"),
        ({"moved_mm": float("nan")}, "moved_mm"),
        ({"moved_mm": 80.0}, "moved_mm"),
        ({"way": Way.TO_LEFT}, "way"),
        ({"end": End.BOTH, "way": Way.INWARD}, "way"),
        ({"made_at": NOW + timedelta(days=1)}, "made_at"),
        ({"made_at": NOW - timedelta(days=4000)}, "made_at"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field_and_nothing_is_kept(
    conveyor: Conveyor, how: dict[str, Any], field: str
) -> None:
    with pytest.raises(FigureRefused) as refusal:
        shifted.shift(conveyor, **how)

    assert refusal.value.field == field
    assert not ShiftMade.objects.exists()


def test_an_unlikely_size_is_kept_once_somebody_says_it_is_right(conveyor: Conveyor) -> None:
    (made,) = shifted.shift(conveyor, moved_mm=80.0, is_sure=True)

    assert made.moved_mm == 80


def test_a_misspelt_place_is_told_the_nearest_name(conveyor: Conveyor) -> None:
    with pytest.raises(FigureRefused, match="Head pulley"):
        shifted.shift(conveyor, "Head puley")


def test_a_shift_can_be_written_down_where_the_loop_is_not_complete() -> None:
    conveyor = register.make_conveyor()
    register.make_component(conveyor, "Snub", "snub_pulley", "return", "20")

    (made,) = shifted.shift(conveyor, "Snub", moved=Moved.BEARING)

    assert made.position_m == 20


@pytest.mark.parametrize(
    ("state", "takes"),
    [
        (OrderState.PROPOSED, False),
        (OrderState.SCHEDULED, False),
        (OrderState.IN_HAND, True),
        (OrderState.DONE, True),
        (OrderState.CANCELLED, False),
    ],
)
def test_shifts_of_an_order_are_written_down_while_hands_are_on_it(
    conveyor: Conveyor, state: OrderState, takes: bool
) -> None:
    order = factories.bring_to(factories.make_order_by_hand(conveyor), state)

    if takes:
        shifted.shift(conveyor, order=order)
        log = order_log.log_of(order)
        assert any("shifted: C3" in line.words and line.by == "Ana Frost" for line in log)
        return
    with pytest.raises(recording_shifts.OrderTakesNoShifts):
        shifted.shift(conveyor, order=order)


def test_a_shift_written_by_mistake_counts_no_more_and_can_be_put_back(
    conveyor: Conveyor,
) -> None:
    one, _other = shifted.shift(conveyor, "C3, C4")

    count = recording_shifts.take_back_shifts(
        conveyor_id=conveyor.pk, shift_id=one.pk, with_others=True, by=None, now=LATER
    )
    assert count == 2
    assert not stands(one)

    recording_shifts.put_back_shift(conveyor_id=conveyor.pk, shift_id=one.pk)
    assert [stands(row) for row in (one, _other)] == [True, False]


def test_undoing_proposes_the_exact_reverse_with_the_conveyors_words(conveyor: Conveyor) -> None:
    (made,) = shifted.shift(conveyor, moved_mm=2.5)

    order = undo(conveyor, made)

    steps = [step.what for step in order.steps.all()]
    assert len(steps) == 3
    assert steps[1].startswith("C3, idler frame, at its foot: move the right end (shed side)")
    assert "2.5\N{NO-BREAK SPACE}mm against belt travel" in steps[1]
    assert "2.5\N{NO-BREAK SPACE}mm with belt travel by Ana Frost" in steps[1]
    assert (order.state, order.component, order.case) == ("proposed", "C3", None)
    assert order.cautions
    assert order.needs_isolation


def test_the_last_shift_is_brought_back_first(conveyor: Conveyor) -> None:
    (first,) = shifted.shift(conveyor, "C3", made_at=NOW - timedelta(hours=2))
    (second,) = shifted.shift(conveyor, "C3", moved_mm=1.0, made_at=NOW)

    steps = [step.what for step in undo(conveyor, first, second).steps.all()]

    assert "1\N{NO-BREAK SPACE}mm against" in steps[1]
    assert "3\N{NO-BREAK SPACE}mm against" in steps[2]


def test_it_is_undone_when_that_work_is_reported_done_and_stands_again_when_it_is_not(
    conveyor: Conveyor,
) -> None:
    (made,) = shifted.shift(conveyor)
    order = factories.bring_to(undo(conveyor, made), OrderState.IN_HAND)
    assert stands(made)

    order = moving.move_order(order_id=order.pk, to_state=OrderState.DONE, by=None, now=LATER)
    made.refresh_from_db()
    assert (made.undone_at, made.undo_order) == (LATER, order)

    moving.move_order(
        order_id=order.pk, to_state=OrderState.IN_HAND, by=None, now=LATER, why="one forgotten"
    )
    assert stands(made)


def test_a_second_undo_joins_work_that_nobody_has_begun(conveyor: Conveyor) -> None:
    one, other = (shifted.shift(conveyor, name)[0] for name in ("C3", "C4"))

    first = undo(conveyor, one)
    second = undo(conveyor, other)

    assert first == second
    steps = list(second.steps.values_list("place", "what"))
    assert [place for place, _what in steps] == [1, 2, 3, 4]
    assert steps[1][1].startswith("C3")
    assert steps[2][1].startswith("C4")
    assert "Guards back" in steps[3][1]
    assert any("steps" in line.words for line in order_log.log_of(second))


def test_work_in_hand_is_not_joined(conveyor: Conveyor) -> None:
    one, other = (shifted.shift(conveyor, name)[0] for name in ("C3", "C4"))
    first = factories.bring_to(undo(conveyor, one), OrderState.IN_HAND)

    assert undo(conveyor, other) != first


def test_what_is_being_undone_is_not_undone_by_a_second_order(conveyor: Conveyor) -> None:
    (made,) = shifted.shift(conveyor)
    order = undo(conveyor, made)

    with pytest.raises(undoing_shifts.AlreadyBeingUndone, match=order.number):
        undo(conveyor, made)


def test_when_the_work_is_turned_down_the_shift_can_be_undone_anew(conveyor: Conveyor) -> None:
    (made,) = shifted.shift(conveyor)
    first = factories.bring_to(undo(conveyor, made), OrderState.DECLINED)

    assert undo(conveyor, made) != first


def test_shifts_are_undone_by_the_order_into_which_their_own_was_merged(
    conveyor: Conveyor,
) -> None:
    (made,) = shifted.shift(conveyor)
    undoing = undo(conveyor, made)
    into = factories.bring_to(factories.make_order_by_hand(conveyor), OrderState.IN_HAND)
    WorkOrder.objects.filter(pk=undoing.pk).update(merged_into=into, state="cancelled")
    with pytest.raises(undoing_shifts.AlreadyBeingUndone, match=into.number):
        undo(conveyor, made)

    moving.move_order(order_id=into.pk, to_state=OrderState.DONE, by=None, now=LATER)

    assert not stands(made)


def test_undone_on_the_spot_tells_the_order_that_was_to_do_it(conveyor: Conveyor) -> None:
    (made,) = shifted.shift(conveyor)
    order = undo(conveyor, made)

    assert undo_now(conveyor, made) == 1

    made.refresh_from_db()
    assert (made.undone_at, made.undo_order) == (LATER, None)
    assert "Undone on the spot" in order.notes.get().words


def test_what_was_called_undone_on_the_spot_can_stand_again(conveyor: Conveyor) -> None:
    (made,) = shifted.shift(conveyor)
    undo_now(conveyor, made)

    undoing_shifts.not_undone_after_all(conveyor_id=conveyor.pk, shift_id=made.pk)

    assert stands(made)


def test_what_an_order_undid_stands_again_by_that_order_only(conveyor: Conveyor) -> None:
    (made,) = shifted.shift(conveyor)
    factories.bring_to(undo(conveyor, made), OrderState.DONE)

    with pytest.raises(undoing_shifts.UndoneByAnOrder):
        undoing_shifts.not_undone_after_all(conveyor_id=conveyor.pk, shift_id=made.pk)
    with pytest.raises(undoing_shifts.NothingToUndo):
        undo_now(conveyor, made)
    with pytest.raises(recording_shifts.ShiftIsUndone):
        recording_shifts.take_back_shifts(
            conveyor_id=conveyor.pk, shift_id=made.pk, with_others=False, by=None, now=LATER
        )


def test_shifts_of_another_conveyor_are_not_undone_along(conveyor: Conveyor) -> None:
    (elsewhere,) = shifted.shift(register.make_complete_conveyor())

    with pytest.raises(undoing_shifts.NothingToUndo):
        undo(conveyor, elsewhere)


def test_what_stands_at_a_station_is_summed_with_what_it_does_to_the_belt(
    conveyor: Conveyor,
) -> None:
    shifted.shift(conveyor)
    shifted.shift(conveyor)
    (gone,) = shifted.shift(conveyor, moved_mm=9.0)
    undo_now(conveyor, gone)

    (total,) = selectors.standing_of(conveyor).sums

    assert (total.station, total.count) == ("C3", 2)
    (line,) = total.lines
    assert line.endswith("right end (shed side) 6\N{NO-BREAK SPACE}mm with belt travel")
    # Right end ahead drives the belt left (diagnostics/mechanics).
    assert "left" in total.skew


def test_a_component_shows_the_shifts_made_within_it(conveyor: Conveyor) -> None:
    shifted.shift(conveyor, "C3")
    shifted.shift(conveyor, "R1", moved=Moved.HANGER)
    shifted.shift(conveyor, "Head pulley", moved=Moved.BEARING)
    components = {one.name: one for one in conveyor.components.all()}

    found = {
        name: [row.row.station for row in selectors.of_component(components[name], 9)]
        for name in ("C", "R", "Head pulley")
    }

    assert found == {"C": ["C3"], "R": ["R1"], "Head pulley": ["Head pulley"]}


@pytest.mark.parametrize(
    ("fields", "constraint"),
    [
        ({"moved_mm": 0}, "shift_of_possible_size"),
        ({"moved_mm": 501}, "shift_of_possible_size"),
        ({"way": "to_left"}, "shift_goes_a_way_its_end_can"),
        ({"end": "both", "way": "inward"}, "shift_goes_a_way_its_end_can"),
        ({"undone_at": NOW, "taken_back_at": NOW}, "shift_is_undone_or_taken_back"),
    ],
)
def test_the_database_refuses_what_no_shift_can_be(
    conveyor: Conveyor, fields: dict[str, Any], constraint: str
) -> None:
    (made,) = shifted.shift(conveyor)

    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        ShiftMade.objects.filter(pk=made.pk).update(**fields)


@pytest.mark.django_db(transaction=True)
def test_of_people_undoing_the_same_shift_at_once_one_raises_the_order() -> None:
    conveyor = register.make_complete_conveyor()
    (made,) = shifted.shift(conveyor)

    def attempt(_number: int) -> str:
        try:
            undo(conveyor, made)
        except undoing_shifts.AlreadyBeingUndone:
            return "refused"
        finally:
            connection.close()
        return "raised"

    with ThreadPoolExecutor(3) as people:
        outcomes = sorted(people.map(attempt, range(3)))

    assert outcomes == ["raised", "refused", "refused"]
    assert WorkOrder.objects.count() == 1
