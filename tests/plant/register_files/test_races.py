"""Files taken in at once, over connections of their own, and a long one seen from outside."""

from typing import Any

import pytest
from django.utils import timezone

from plant.models import Component, Conveyor, Plant, RegisterImport, User
from plant.roles import Role
from plant.services import import_progress, importing, keeping_conveyors
from plant.services.import_work import ImportRefused
from tests.plant.factories import make_complete_conveyor, make_person, make_plant
from tests.plant.register_files.imports import send
from tests.plant.test_register_races import at_once

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]
State = RegisterImport.State


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def by(plant: Plant) -> User:
    return make_person(Role.PLANNER, plants=[plant])


def _plough(plant: Plant, by: User, name: str) -> RegisterImport:
    table = f"Conveyor,Name,Kind,Run,Loop position\nCV-1,{name},plough,return,106.5\n"
    return send(plant, by, table.encode())


def test_of_two_files_about_one_conveyor_one_is_to_be_looked_at_again(plant: Plant, by: User):
    make_complete_conveyor(plant, tag="CV-1")
    files = [_plough(plant, by, "A"), _plough(plant, by, "B")]

    results = at_once(
        *(
            lambda one=one: importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())
            for one in files
        )
    )

    refused = [one for one in results if isinstance(one, ImportRefused)]
    assert [one.reason.code for one in refused] == ["register_changed"]
    assert Component.objects.filter(kind="plough").count() == 1


def test_of_two_presses_on_apply_one_takes_in(plant: Plant, by: User):
    make_complete_conveyor(plant, tag="CV-1")
    one = _plough(plant, by, "A")

    def press() -> RegisterImport:
        return importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())

    at_once(press, press)

    one.refresh_from_db()
    assert one.state == State.APPLIED
    assert Component.objects.get(kind="plough").version == 1


def test_two_workers_do_not_take_up_the_same_file(plant: Plant, by: User):
    rows = "".join(f"CV-{number},{'N' * 110},2,100\n" for number in range(6000))
    one = send(plant, by, ("Tag,Name,Belt speed,Centre distance\n" + rows).encode())
    assert one.state == State.TO_READ

    assert sorted(at_once(importing.do_owed, importing.do_owed)) == [0, 1]


def test_progress_is_seen_from_outside_while_nothing_is_in_the_register_yet(
    plant: Plant, by: User, monkeypatch: Any
):
    monkeypatch.setattr(import_progress, "_EVERY_S", 0.0)
    rows = "".join(f"CV-{number},N,2,100\n" for number in range(4500))
    one = send(plant, by, ("Tag,Name,Belt speed,Centre distance\n" + rows).encode())
    importing.do_owed()
    importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())
    seen: list[tuple[int, int]] = []
    tell = import_progress.Progress._tell

    def told(self: Any, done: int) -> None:
        # By the connection that tells: what it sees is what everybody sees.
        tell(self, done)
        here = RegisterImport.objects.get(pk=one.pk)
        seen.append((here.rows_done, Conveyor.objects.filter(plant=plant).count()))

    monkeypatch.setattr(import_progress.Progress, "_tell", told)

    importing.do_owed()

    assert seen == [(2000, 0), (4000, 0), (4500, 0)]
    one.refresh_from_db()
    assert one.state == State.APPLIED
    assert Conveyor.objects.filter(plant=plant).count() == 4500


def test_a_form_that_waits_for_the_file_meets_what_it_wrote(plant: Plant, by: User):
    conveyor = make_complete_conveyor(plant, tag="CV-1", name="Quay")
    table = b"Tag,Name,Belt speed,Centre distance\nCV-1,By file,2.5,100\n"
    one = send(plant, by, table)

    def by_form() -> Conveyor:
        return keeping_conveyors.edit_conveyor(
            conveyor_id=conveyor.pk, values={"name": "By form"}, version=1, by=by
        )

    results = at_once(
        lambda: importing.ask_apply(import_id=one.pk, by=by, now=timezone.now()), by_form
    )

    # Whoever came second was told; nobody wrote over the other.
    assert len([result for result in results if isinstance(result, Exception)]) == 1
    conveyor.refresh_from_db()
    assert conveyor.version == 2
