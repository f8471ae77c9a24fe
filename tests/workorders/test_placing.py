"""An order gets its place on the outage sheet, moves there, and comes off again."""

from datetime import timedelta

import pytest

from tests.workorders.factories import NOW, make_conveyor
from tests.workorders.sheet_rows import make_approved, make_crew, make_window, place_in
from workorders.services import moving, placing
from workorders.services.locking import OrderChangedMeanwhile

pytestmark = pytest.mark.django_db


def test_placing_schedules_an_approved_order_and_taking_it_off_approves_it_again():
    order = make_approved()
    crew, window = make_crew(order.conveyor.plant), make_window(order.conveyor)

    placed = placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)

    assert (placed.state, placed.planned_for, placed.window, placed.crew) == (
        "scheduled",
        window.starts_at,
        window,
        crew,
    )

    placing.pin(order_id=order.pk, is_pinned=True, by=None, now=NOW)
    off = placing.take_off(order_id=order.pk, by=None, now=NOW)

    assert (off.state, off.planned_for, off.planned_until) == ("approved", None, None)
    assert (off.window, off.crew, off.is_pinned) == (None, None, False)


def test_moving_a_placed_order_is_told_in_its_log():
    order = make_approved()
    crew, window = make_crew(order.conveyor.plant), make_window(order.conveyor)
    later = make_window(order.conveyor, starts_at=window.starts_at + timedelta(days=7))
    placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)

    placing.place_order(order_id=order.pk, place=place_in(later, crew), by=None, now=NOW)

    assert order.changes.get().before == window.starts_at.isoformat()
    assert order.changes.get().after == later.starts_at.isoformat()


def test_of_two_planners_moving_the_same_order_the_second_is_told():
    order = make_approved()
    crew, window = make_crew(order.conveyor.plant), make_window(order.conveyor)
    seen = order.version
    place = place_in(window, crew)
    placing.place_order(order_id=order.pk, place=place, by=None, now=NOW, version=seen)

    with pytest.raises(OrderChangedMeanwhile):
        placing.place_order(order_id=order.pk, place=place, by=None, now=NOW, version=seen)


def test_places_that_cannot_be_are_refused():
    order = make_approved()
    plant, elsewhere = order.conveyor.plant, make_conveyor()
    crew, window = make_crew(plant), make_window(order.conveyor)
    off = make_window(order.conveyor, called_off_at=NOW)
    far = make_window(elsewhere)
    wrong = {
        placing.PlaceIsOtherPlants: place_in(far, crew),
        placing.WindowIsCalledOff: place_in(off, crew),
        placing.PlaceEndsBeforeItBegins: place_in(window, crew, hours=0),
        placing.PlaceLastsTooLong: place_in(window, crew, hours=24 * 366 * 100),
        moving.ScheduleNeedsTime: placing.Place(
            crew, None, NOW - timedelta(hours=1), NOW + timedelta(hours=1)
        ),
    }

    for refusal, place in wrong.items():
        with pytest.raises(refusal):
            placing.place_order(order_id=order.pk, place=place, by=None, now=NOW)

    order.refresh_from_db()
    assert order.state == "approved"
