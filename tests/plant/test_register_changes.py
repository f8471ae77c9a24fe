"""Whoever writes, and however, the change is written down with who it was."""

from datetime import date
from importlib import import_module

import pytest
from django.apps import apps
from django.db import connection
from django.db.models import F
from django.urls import reverse
from django.utils import timezone

from plant import acting
from plant.models import (
    Belt,
    BeltChange,
    BeltMark,
    BeltMarkChange,
    Component,
    ComponentChange,
    Conveyor,
    ConveyorChange,
    Splice,
    SpliceChange,
)
from plant.roles import Role
from plant.selectors.register_as_of import register_as_of
from plant.selectors.register_history import RegisterHistory
from tests.plant.factories import make_complete_conveyor, make_person, signed_in
from tests.workorders.factories import make_key

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor()


def last_of(change, **which):
    return change.objects.filter(**which).latest("pgh_id")


def test_a_bulk_update_is_written_down(conveyor):
    Component.objects.filter(conveyor=conveyor).update(note="counted in June")

    rows = ComponentChange.objects.filter(conveyor=conveyor, pgh_label="changed")
    assert set(rows.values_list("note", flat=True)) == {"counted in June"}
    assert rows.count() == conveyor.components.count()


def test_rows_made_in_bulk_are_written_down(conveyor):
    belt = conveyor.belts.get()

    BeltMark.objects.bulk_create(
        BeltMark(belt=belt, kind=BeltMark.Kind.TEAR, belt_position_m=at) for at in (10, 20)
    )

    rows = BeltMarkChange.objects.filter(belt=belt, pgh_label="added")
    assert sorted(rows.values_list("belt_position_m", flat=True)) == [10, 20]


def test_plain_sql_is_written_down(conveyor):
    with connection.cursor() as cursor:
        cursor.execute("UPDATE plant_conveyor SET speed_mps = 3.1 WHERE id = %s", [conveyor.pk])

    assert last_of(ConveyorChange, pgh_obj=conveyor.pk).speed_mps == 3.1


def test_what_goes_with_its_belt_is_written_down_as_removed(conveyor):
    belt = conveyor.belts.get()
    pk = belt.pk

    belt.delete()

    assert last_of(BeltChange, pgh_obj=pk).pgh_label == "removed"
    gone = SpliceChange.objects.filter(belt=pk, pgh_label="removed")
    assert sorted(gone.values_list("name", flat=True)) == ["S1", "S2"]


def test_a_counted_version_alone_is_no_news(conveyor):
    for model, change in (
        (Conveyor, ConveyorChange),
        (Component, ComponentChange),
        (Belt, BeltChange),
        (Splice, SpliceChange),
    ):
        before = change.objects.count()
        model.objects.update(version=F("version") + 1)
        assert change.objects.count() == before
    conveyor.save(update_fields=["changed_at"])
    assert not ConveyorChange.objects.filter(pgh_label="changed").exists()


def test_a_page_says_who_it_was(conveyor):
    lead = make_person(Role.LEAD, plants=[conveyor.plant], display_name="Odile Brannock")
    page = reverse("belt-edit", args=[conveyor.plant.code, conveyor.tag, conveyor.belts.get().pk])
    asked = {"width_mm": 1200, "length_m": 210.5, "carcass": "EP", "version": 1}

    response = signed_in(lead).post(page, asked)

    assert response.status_code == 302
    told = last_of(BeltChange, conveyor=conveyor)
    assert (told.width_mm, told.pgh_context) == (
        1200,
        {"person": lead.pk, "name": "Odile Brannock"},
    )


def test_a_key_is_named(conveyor):
    key, _secret = make_key(conveyor.plant)

    with acting.request_begins():
        acting.by_key(key)
        Conveyor.objects.update(retired_on=date(2026, 11, 1))

    assert last_of(ConveyorChange, pgh_obj=conveyor.pk).pgh_context == {
        "key": key.prefix,
        "name": key.name,
    }


def test_nobody_is_named_where_nobody_was(conveyor):
    Conveyor.objects.update(lift_m=4)

    assert last_of(ConveyorChange, pgh_obj=conveyor.pk).pgh_context is None


def test_rows_that_were_there_before_begin_with_how_they_stood(conveyor):
    for change in (ConveyorChange, ComponentChange, BeltChange, SpliceChange, BeltMarkChange):
        change.objects.all().delete()
    migration = import_module("plant.migrations.0004_register_changes")

    with connection.schema_editor(atomic=False) as editor:
        migration.begin_history(apps, editor)

    told = RegisterHistory(conveyor)[0:40]
    assert {one.what for one in told} == {"began"}
    # The conveyor, eleven components, a belt and two splices.
    assert len(told) == 15
    assert register_as_of(conveyor, timezone.now()).rows.belts[0].length_m == 210.5
