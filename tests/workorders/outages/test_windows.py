"""Outage windows put in, moved, called off, taken up again; what that breaks is asked first."""

from datetime import timedelta

import pytest

from plant.services.register_refusals import StaleForm
from tests.workorders.factories import NOW, make_conveyor
from tests.workorders.sheet_rows import TOMORROW, make_approved, make_crew, make_window, place_in
from workorders.models import OutageWindow
from workorders.services import placing
from workorders.services.outages import windows
from workorders.services.outages.weighing import AsksFirst
from workorders.services.outages.windows import WindowWanted

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


def wanted(*belts, starts_at=TOMORROW, hours: float = 8, name: str = "Quay day") -> WindowWanted:
    return WindowWanted(name, belts, starts_at, starts_at + hours * HOUR)


def placed_order(hours: float = 2):
    """An order of two hours at the beginning of tomorrow's window, fitting."""
    order = make_approved()
    window = make_window(order.conveyor)
    crew = make_crew(order.conveyor.plant)
    placing.place_order(order_id=order.pk, place=place_in(window, crew, hours), by=None, now=NOW)
    return order, window


def test_a_window_is_put_in_for_its_conveyors():
    belt = make_conveyor()

    window = windows.add_window(plant=belt.plant, wanted=wanted(belt), by=None, now=NOW)

    assert (window.starts_at, window.first_starts_at) == (TOMORROW, TOMORROW)
    assert list(window.conveyors.all()) == [belt]


@pytest.mark.parametrize(
    ("times", "field"),
    [
        ({"hours": 0}, "ends_at"),
        ({"hours": -1}, "ends_at"),
        ({"hours": 93 * 24}, "ends_at"),
        ({"starts_at": NOW - 9 * HOUR}, "ends_at"),
        ({"starts_at": NOW + timedelta(days=4000)}, "starts_at"),
    ],
)
def test_times_that_make_no_window_are_refused_by_field(times, field):
    belt = make_conveyor()

    with pytest.raises(windows.WindowTimesRefused) as refused:
        windows.add_window(plant=belt.plant, wanted=wanted(belt, **times), by=None, now=NOW)

    assert refused.value.field == field
    assert not OutageWindow.objects.exists()


def test_a_window_needs_conveyors_and_those_of_its_plant():
    belt, elsewhere = make_conveyor(), make_conveyor()

    for belts in ((), (belt, elsewhere)):
        with pytest.raises(windows.WindowNeedsConveyors):
            windows.add_window(plant=belt.plant, wanted=wanted(*belts), by=None, now=NOW)


def test_moving_a_window_asks_first_about_the_work_that_no_longer_fits():
    order, window = placed_order()
    later = wanted(order.conveyor, starts_at=TOMORROW + HOUR)

    def move(seen: str) -> OutageWindow:
        return windows.change_window(
            window_id=window.pk, wanted=later, version=1, by=None, now=NOW, seen=seen
        )

    with pytest.raises(AsksFirst) as asked:
        move("")
    window.refresh_from_db()
    assert window.starts_at == TOMORROW

    (unfit,) = asked.value.consequences.unfit
    assert (unfit.order, len(unfit.words)) == (order, 1)
    assert "before the window" in unfit.words[0]
    moved = move(asked.value.consequences.mark)
    order.refresh_from_db()
    assert (moved.starts_at, moved.first_starts_at) == (TOMORROW + HOUR, TOMORROW)
    assert (order.window, order.planned_for) == (window, TOMORROW)


def test_a_mark_of_other_consequences_is_asked_about_again():
    _order, window = placed_order()

    with pytest.raises(AsksFirst):
        windows.call_off(
            window_id=window.pk, why="ship", version=1, by=None, now=NOW, seen="of something else"
        )


def test_what_was_broken_before_is_not_asked_about():
    order, window = placed_order(hours=9)  # an hour longer than the window
    make_window(make_conveyor(order.conveyor.plant))

    renamed = windows.change_window(
        window_id=window.pk, wanted=wanted(order.conveyor), version=1, by=None, now=NOW, seen=""
    )

    assert renamed.name == "Quay day"


def test_a_window_called_off_keeps_its_orders_where_they_are():
    order, window = placed_order()

    with pytest.raises(AsksFirst) as asked:
        windows.call_off(window_id=window.pk, why="ship", version=1, by=None, now=NOW, seen="")
    off = windows.call_off(
        window_id=window.pk,
        why="ship",
        version=1,
        by=None,
        now=NOW,
        seen=asked.value.consequences.mark,
    )

    order.refresh_from_db()
    assert (off.called_off_at, off.called_off_why) == (NOW, "ship")
    assert (order.state, order.window, order.planned_for) == ("scheduled", window, TOMORROW)


def test_calling_off_says_why_and_can_be_undone():
    window = make_window(make_conveyor())

    with pytest.raises(windows.CallingOffNeedsReason):
        windows.call_off(window_id=window.pk, why=" ", version=1, by=None, now=NOW)
    windows.call_off(window_id=window.pk, why="ship", version=1, by=None, now=NOW)
    back = windows.take_up_again(window_id=window.pk, version=2, by=None, now=NOW)

    assert (back.called_off_at, back.called_off_why) == (None, "")


def test_windows_of_one_conveyor_that_share_time_are_asked_about():
    belt, other = make_conveyor(), None
    other = make_conveyor(belt.plant)
    stands = make_window(belt, other, name="Weekly")

    windows.add_window(
        plant=belt.plant,
        wanted=wanted(make_conveyor(belt.plant)),
        by=None,
        now=NOW,
        seen="",
    )
    windows.add_window(
        plant=belt.plant, wanted=wanted(belt, starts_at=stands.ends_at), by=None, now=NOW, seen=""
    )
    with pytest.raises(AsksFirst) as asked:
        windows.add_window(
            plant=belt.plant,
            wanted=wanted(belt, starts_at=TOMORROW - HOUR, hours=2, name="Shutdown"),
            by=None,
            now=NOW,
            seen="",
        )

    (overlap,) = asked.value.consequences.overlaps
    assert (overlap.first, overlap.second, overlap.tags) == ("Shutdown", "Weekly", (belt.tag,))
    assert (overlap.starts_at, overlap.ends_at) == (TOMORROW, TOMORROW + HOUR)
    both = wanted(belt, starts_at=TOMORROW - HOUR, hours=2, name="Shutdown")
    mark = asked.value.consequences.mark
    assert windows.add_window(plant=belt.plant, wanted=both, by=None, now=NOW, seen=mark).pk


def test_of_two_planners_changing_a_window_the_second_is_told():
    window = make_window(make_conveyor())
    change = {"window_id": window.pk, "version": 1, "by": None, "now": NOW}
    windows.change_window(wanted=wanted(window.conveyors.get()), **change)

    with pytest.raises(StaleForm):
        windows.change_window(wanted=wanted(window.conveyors.get(), hours=4), **change)
    with pytest.raises(StaleForm):
        windows.call_off(why="ship", **change)


def test_a_window_that_is_over_stays_as_it_was():
    window = make_window(make_conveyor())
    after = {"window_id": window.pk, "version": 1, "by": None, "now": window.ends_at}

    with pytest.raises(windows.WindowIsOver):
        windows.call_off(why="ship", **after)
    with pytest.raises(windows.WindowIsOver):
        windows.change_window(
            wanted=wanted(window.conveyors.get(), starts_at=window.ends_at + HOUR), **after
        )
