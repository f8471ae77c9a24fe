"""Two writers at one conveyor, over two connections of their own."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Barrier, Event
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from plant.errors import DomainError
from plant.models import Belt, Component, Conveyor
from plant.services import keeping_belts, keeping_components, keeping_conveyors
from plant.services.conveyor_lock import lock_conveyor
from plant.services.register_refusals import (
    BeltIsFitted,
    GeometryRefused,
    NameTaken,
    StaleForm,
    constraints_in_words,
)
from tests.plant.factories import make_complete_conveyor, make_conveyor, make_plant

pytestmark = pytest.mark.django_db(transaction=True)
PATIENCE_S = 20


def at_once(*acts: Callable[[], Any]) -> list[Any]:
    """What each act returned or refused with, all begun together."""
    ready = Barrier(len(acts), timeout=PATIENCE_S)

    def run(act: Callable[[], Any]) -> Any:
        try:
            ready.wait()
            return act()
        except DomainError as refusal:
            return refusal
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def idlers(conveyor: Conveyor, name: str, first_m: str) -> Component:
    return keeping_components.add_component(
        conveyor_id=conveyor.pk,
        values={
            "name": name,
            "kind": "return_idlers",
            "run": "return",
            "first_m": Decimal(first_m),
            "spacing_m": Decimal("3"),
            "count": 5,
            "is_numbered": True,
        },
        by=None,
    )


def test_of_two_idler_groups_added_to_one_place_at_once_one_is_refused():
    conveyor = make_conveyor()

    results = at_once(lambda: idlers(conveyor, "A", "10"), lambda: idlers(conveyor, "B", "16"))

    refused = [one for one in results if isinstance(one, GeometryRefused)]
    assert len(refused) == 1
    assert "may not overlap" in str(refused[0])
    assert conveyor.components.count() == 1


def test_a_writer_who_comes_by_another_way_meets_the_database_and_the_same_refusal():
    conveyor = make_conveyor()
    idlers(conveyor, "A", "10")
    row = {"conveyor": conveyor, "kind": "return_idlers", "run": "return", "count": 1}

    with (
        pytest.raises(GeometryRefused, match="may not overlap") as refused,
        transaction.atomic(),
        constraints_in_words(),
    ):
        Component.objects.create(name="B", first_m=Decimal("22"), **row)

    assert (refused.value.code, refused.value.field) == ("geometry_refused", "first_m")


def test_touching_groups_of_two_conveyors_or_two_runs_do_not_meet():
    conveyor, other = make_conveyor(), make_conveyor()
    idlers(conveyor, "A", "10")

    idlers(other, "A", "10")
    idlers(conveyor, "B", "22.001")

    assert Component.objects.count() == 3


def test_what_the_database_refuses_without_a_word_of_ours_rises_as_it_is():
    with (
        pytest.raises(IntegrityError),
        transaction.atomic(),
        constraints_in_words(),
    ):
        make_conveyor(speed_mps=0)


@pytest.mark.parametrize("kind", ["head_pulley", "tail_pulley"])
def test_the_database_itself_knows_one_head_and_one_tail(kind):
    conveyor = make_complete_conveyor()
    run = "carrying" if kind == "head_pulley" else "return"

    with (
        pytest.raises(GeometryRefused, match=r"one (head|tail) pulley") as refused,
        transaction.atomic(),
        constraints_in_words(),
    ):
        Component.objects.create(
            conveyor=conveyor, name="second", kind=kind, run=run, first_m=Decimal("99.9")
        )

    assert refused.value.field == "kind"


def test_of_two_forms_saved_at_once_one_is_stale():
    conveyor = make_conveyor()

    def save(speed_mps: float) -> Any:
        return keeping_conveyors.edit_conveyor(
            conveyor_id=conveyor.pk, values={"speed_mps": speed_mps}, version=1, by=None
        )

    results = at_once(lambda: save(2.0), lambda: save(3.0))

    assert sorted(type(one).__name__ for one in results) == ["Conveyor", "StaleForm"]
    conveyor.refresh_from_db()
    saved = next(one for one in results if isinstance(one, Conveyor))
    assert conveyor.speed_mps == saved.speed_mps
    assert conveyor.version == 2
    assert any(isinstance(one, StaleForm) for one in results)


def test_of_two_belts_fitted_at_once_one_is_refused():
    conveyor = make_conveyor()

    def fit() -> Any:
        values = {"width_mm": 1000.0, "length_m": 200.0}
        return keeping_belts.fit_belt(conveyor_id=conveyor.pk, values=values, by=None)

    results = at_once(fit, fit)

    assert sum(isinstance(one, BeltIsFitted) for one in results) == 1
    assert Belt.objects.filter(removed_on__isnull=True).count() == 1


def test_of_two_conveyors_added_with_one_tag_at_once_one_is_refused():
    plant = make_plant()
    values = {"name": "x", "centre_distance_m": 10.0, "speed_mps": 1.0}

    results = at_once(
        *(
            lambda tag=tag: keeping_conveyors.add_conveyor(
                plant=plant, values={**values, "tag": tag}, by=None
            )
            for tag in ("cv1", "CV1")
        )
    )

    assert sum(isinstance(one, NameTaken) for one in results) == 1
    assert plant.conveyors.count() == 1


def test_a_writer_waits_for_the_lock_and_then_sees_what_the_first_one_did():
    """Without the lock both would check their own group against a loop without the other's."""
    conveyor = make_conveyor()
    locked, go_on = Event(), Event()

    def first() -> Any:
        with transaction.atomic():
            lock_conveyor(conveyor.pk)
            locked.set()
            go_on.wait(PATIENCE_S)
            return idlers(conveyor, "A", "10")

    def second() -> Any:
        locked.wait(PATIENCE_S)
        go_on.set()
        return idlers(conveyor, "B", "16")

    results = at_once(first, second)

    assert isinstance(results[0], Component)
    assert isinstance(results[1], GeometryRefused)
    # The words are the loop's, not the database's: the check saw the other writer's row.
    assert "begins at 16 m inside A" in str(results[1])
