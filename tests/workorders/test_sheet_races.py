"""Two planners and one order, at the same moment."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import connections
from django.utils import timezone

from tests.workorders.factories import make_conveyor, make_plant
from tests.workorders.sheet_rows import make_approved, make_coming, make_crew, place_in
from workorders.models import OrderChange, WorkOrder
from workorders.services import placing, sheet_moves
from workorders.services.locking import OrderChangedMeanwhile

pytestmark = pytest.mark.django_db(transaction=True)


def _at_once(*acts: Callable[[], object]) -> list[object]:
    """What each came to, a refusal too."""
    together = Barrier(len(acts))

    def run(act: Callable[[], object]) -> object:
        try:
            together.wait(timeout=20)
            return act()
        except OrderChangedMeanwhile as refusal:
            return refusal
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def test_of_two_planners_who_move_the_same_work_one_moves_it_and_one_is_told():
    plant = make_plant()
    crew, conveyor = make_crew(plant), make_conveyor(plant)
    window = make_coming(conveyor)
    order = make_approved(conveyor)
    placing.place_order(
        order_id=order.pk, place=place_in(window, crew), by=None, now=timezone.now()
    )
    seen = WorkOrder.objects.get(pk=order.pk).version

    def move(hours: int) -> Callable[[], WorkOrder]:
        begins = window.starts_at + timedelta(hours=hours)
        place = placing.Place(crew, window, begins, begins + timedelta(hours=1))
        return lambda: sheet_moves.put(
            order_id=order.pk, place=place, by=None, now=timezone.now(), version=seen
        )

    for turn in range(3):
        seen = WorkOrder.objects.get(pk=order.pk).version
        came = _at_once(move(2 + turn), move(4 + turn))

        moved = [one for one in came if isinstance(one, WorkOrder)]
        told = [one for one in came if isinstance(one, OrderChangedMeanwhile)]
        assert (len(moved), len(told)) == (1, 1)
        order.refresh_from_db()
        # What the one was told who moved it is what stands.
        assert order.planned_for == moved[0].planned_for
        assert order.version == seen + 1
    assert OrderChange.objects.filter(order=order).count() == 3


def test_of_a_move_and_taking_off_at_once_only_one_happens():
    plant = make_plant()
    crew, conveyor = make_crew(plant), make_conveyor(plant)
    window = make_coming(conveyor)
    order = make_approved(conveyor)
    placing.place_order(
        order_id=order.pk, place=place_in(window, crew), by=None, now=timezone.now()
    )
    seen = WorkOrder.objects.get(pk=order.pk).version
    later = window.starts_at + timedelta(hours=3)
    place = placing.Place(crew, window, later, later + timedelta(hours=1))
    shared = {"order_id": order.pk, "by": None, "now": timezone.now(), "version": seen}

    came = _at_once(
        lambda: sheet_moves.put(place=place, **shared), lambda: placing.take_off(**shared)
    )

    order.refresh_from_db()
    assert sum(isinstance(one, OrderChangedMeanwhile) for one in came) == 1
    assert (order.state == "approved") == (order.planned_for is None)
