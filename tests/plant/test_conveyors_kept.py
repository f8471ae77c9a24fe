"""Conveyors in the register: what is kept, what is refused, in which words."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from plant.loop.layout import LayoutFigures
from plant.loop.vocabulary import TakeUpKind
from plant.models import Component, Conveyor
from plant.selectors.loops import fitted_belt, register_state
from plant.services import keeping_components, keeping_conveyors
from plant.services.register_refusals import (
    ConveyorIsRetired,
    FigureRefused,
    GeometryRefused,
    NameTaken,
    StaleForm,
)
from tests.plant.factories import make_conveyor, make_plant

pytestmark = pytest.mark.django_db


NOW = datetime(2026, 11, 25, 2, 30, tzinfo=UTC)


FIGURES = {"name": "Yard belt", "centre_distance_m": 80.0, "speed_mps": 2.0}


def test_a_conveyor_is_added_to_its_plant():
    plant = make_plant()

    made = keeping_conveyors.add_conveyor(plant=plant, values={**FIGURES, "tag": "Y1"}, by=None)

    assert Conveyor.objects.get(plant=plant, tag="Y1") == made
    assert made.version == 1


def test_a_second_conveyor_with_the_tag_in_other_letters_is_refused():
    plant = make_plant()
    make_conveyor(plant, tag="CV-12")

    with pytest.raises(NameTaken, match="has this tag") as refused:
        keeping_conveyors.add_conveyor(plant=plant, values={**FIGURES, "tag": "cv-12"}, by=None)

    assert refused.value.field == "tag"


def test_another_plant_may_have_the_same_tag():
    make_conveyor(make_plant(), tag="CV-12")

    values = {**FIGURES, "tag": "CV-12"}
    keeping_conveyors.add_conveyor(plant=make_plant(), values=values, by=None)

    assert Conveyor.objects.filter(tag="CV-12").count() == 2


def test_an_edit_counts_the_version_and_a_form_opened_before_it_is_stale():
    conveyor = make_conveyor(speed_mps=2.0)
    kept = {"conveyor_id": conveyor.pk, "by": None}

    keeping_conveyors.edit_conveyor(values={"speed_mps": 2.5}, version=1, **kept)
    with pytest.raises(StaleForm) as refused:
        keeping_conveyors.edit_conveyor(values={"speed_mps": 3.0}, version=1, **kept)

    conveyor.refresh_from_db()
    assert (conveyor.speed_mps, conveyor.version) == (2.5, 2)
    assert refused.value.row.version == 2


def test_an_edit_to_a_tag_that_is_taken_is_refused_and_changes_nothing():
    conveyor = make_conveyor(tag="A1")
    make_conveyor(conveyor.plant, tag="A2")

    with pytest.raises(NameTaken):
        keeping_conveyors.edit_conveyor(
            conveyor_id=conveyor.pk, values={"tag": "a2", "name": "x"}, version=1, by=None
        )

    conveyor.refresh_from_db()
    assert (conveyor.tag, conveyor.version) == ("A1", 1)


def test_a_conveyor_is_retired_on_the_plants_day_and_taken_back():
    conveyor = make_conveyor(make_plant(time_zone="America/Halifax"))

    keeping_conveyors.retire_conveyor(conveyor_id=conveyor.pk, by=None, now=NOW)

    conveyor.refresh_from_db()
    assert conveyor.retired_on == date(2026, 11, 24)
    assert conveyor not in Conveyor.objects.in_service()
    with pytest.raises(ConveyorIsRetired):
        keeping_conveyors.retire_conveyor(conveyor_id=conveyor.pk, by=None, now=NOW)

    for _again in range(2):
        keeping_conveyors.take_back_conveyor(conveyor_id=conveyor.pk, by=None)
    conveyor.refresh_from_db()
    assert conveyor.retired_on is None
    assert conveyor.version == 3


ROLLS = {
    "name": "C",
    "kind": "troughing_idlers",
    "run": "carrying",
    "first_m": Decimal("5"),
    "spacing_m": Decimal("1.2"),
    "count": 10,
    "is_numbered": True,
}


def add(conveyor: Conveyor, values: dict, **more) -> Component:
    return keeping_components.add_component(
        conveyor_id=conveyor.pk, values={**values, **more}, by=None
    )


def lay(conveyor: Conveyor, **figures) -> Conveyor:
    return keeping_conveyors.lay_out_conveyor(
        conveyor_id=conveyor.pk,
        figures=LayoutFigures(
            **{"centre_distance_m": 60, "head_diameter_mm": 630, "tail_diameter_mm": 500, **figures}
        ),
        belt_width_mm=1000,
        by=None,
    )


@pytest.mark.parametrize("take_up", TakeUpKind)
def test_a_laid_out_conveyor_is_complete_and_asks_nothing(take_up):
    conveyor = make_conveyor()

    lay(conveyor, take_up=take_up)

    conveyor.refresh_from_db()
    state = register_state(conveyor, fitted_belt(conveyor))
    assert state.questions == ()
    assert state.loop.head_m == 60
    assert (conveyor.centre_distance_m, conveyor.take_up_kind) == (60, take_up.value)


def test_laying_out_overwrites_nothing():
    conveyor = make_conveyor()
    add(conveyor, ROLLS)

    with pytest.raises(GeometryRefused, match="has components already"):
        lay(conveyor)

    assert conveyor.components.count() == 1


def test_figures_that_do_not_fit_are_refused_by_field():
    conveyor = make_conveyor()

    with pytest.raises(FigureRefused, match="load point") as refused:
        lay(conveyor, load_at_m=59)

    assert refused.value.field == "load_at_m"
    assert not conveyor.components.exists()
    assert not conveyor.belts.exists()
