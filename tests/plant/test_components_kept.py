"""Components in the register: every change leaves a possible loop or is refused."""

from decimal import Decimal

import pytest

from plant.models import Component, Conveyor
from plant.selectors.loops import loop_of, register_state
from plant.services import keeping_components
from plant.services.register_refusals import (
    GeometryRefused,
    RowIsGone,
    StaleForm,
)
from tests.plant.factories import make_conveyor

pytestmark = pytest.mark.django_db


HEAD = {
    "name": "HEAD",
    "kind": "head_pulley",
    "run": "carrying",
    "first_m": Decimal("50"),
    "diameter_mm": 630.0,
    "wrap_deg": 180.0,
}


TAIL = {**HEAD, "name": "TAIL", "kind": "tail_pulley", "run": "return", "first_m": Decimal("102")}


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


def edit(component: Component, version: int | None = None, **values) -> Component:
    return keeping_components.edit_component(
        conveyor_id=component.conveyor_id,
        component_id=component.pk,
        values=values,
        version=version,
        by=None,
    )


def test_a_loop_is_built_up_piece_by_piece_and_says_what_is_missing():
    conveyor = make_conveyor(centre_distance_m=50)
    missing = []

    for values in (ROLLS, TAIL, HEAD):
        missing.append(register_state(conveyor, None).missing)
        add(conveyor, values)

    assert missing == [
        "The head pulley and the tail pulley are missing.",
        "The head pulley and the tail pulley are missing.",
        "The head pulley is missing.",
    ]
    assert loop_of(conveyor).head_m == 50


def test_a_change_under_the_conveyor_shows_on_the_conveyor():
    conveyor = make_conveyor()
    before = conveyor.changed_at

    add(conveyor, HEAD)

    conveyor.refresh_from_db()
    assert conveyor.changed_at > before
    assert conveyor.version == 1


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({**ROLLS, "name": "D", "first_m": Decimal("10")}, "first_m", "may not overlap"),
        ({**ROLLS, "name": "D", "first_m": Decimal("45")}, "count", "past the head pulley"),
        ({**ROLLS, "first_m": Decimal("30")}, "name", "used twice"),
        ({**ROLLS, "name": "c1", "is_numbered": False, "count": 1, "first_m": Decimal("30")},
         "name", "used twice"),
        ({**ROLLS, "name": "D", "spacing_m": None, "first_m": Decimal("30")},
         "spacing_m", "needs a spacing"),
        ({**ROLLS, "name": "D", "run": "return"}, "run", "carrying run only"),
        ({**HEAD, "name": "HEAD 2", "first_m": Decimal("40")}, "kind", "one head pulley"),
        ({**HEAD, "name": "B", "kind": "bend_pulley", "run": "return", "diameter_mm": None,
          "first_m": Decimal("60")}, "diameter_mm", "diameter in mm"),
        ({**HEAD, "name": "B", "kind": "bend_pulley", "run": "return",
          "first_m": Decimal("50.5")}, "first_m", "out of order or too close"),
        ({**HEAD, "name": "B", "kind": "bend_pulley", "run": "return",
          "first_m": Decimal("110")}, "first_m", "past the tail pulley"),
    ],
)  # fmt: skip
def test_a_component_that_cannot_stand_there_is_refused_and_not_saved(values, field, words):
    conveyor = make_conveyor()
    for there in (HEAD, TAIL, ROLLS):
        add(conveyor, there)

    with pytest.raises(GeometryRefused, match=words) as refused:
        add(conveyor, values)

    assert refused.value.code == "geometry_refused"
    assert refused.value.field == field
    assert refused.value.part
    assert conveyor.components.count() == 3


def test_an_edit_that_would_push_a_group_into_another_is_refused():
    conveyor = make_conveyor()
    rolls = add(conveyor, ROLLS)
    add(conveyor, ROLLS, name="D", first_m=Decimal("20"))

    with pytest.raises(GeometryRefused, match="D begins at 20 m inside C"):
        edit(rolls, count=20)

    rolls.refresh_from_db()
    assert (rolls.count, rolls.version) == (10, 1)


def test_a_component_may_keep_its_own_place_and_name_when_it_is_edited():
    rolls = add(make_conveyor(), ROLLS)

    edit(rolls, version=1, note="new rolls")

    rolls.refresh_from_db()
    assert (rolls.note, rolls.version) == ("new rolls", 2)


def test_a_component_form_opened_before_another_change_is_stale():
    rolls = add(make_conveyor(), ROLLS)
    edit(rolls, version=1, count=8)

    with pytest.raises(StaleForm):
        edit(rolls, version=1, count=9)

    rolls.refresh_from_db()
    assert rolls.count == 8


def test_two_people_may_change_two_components_at_once():
    conveyor = make_conveyor()
    one, other = add(conveyor, ROLLS), add(conveyor, HEAD)

    edit(one, version=1, count=8)
    edit(other, version=1, first_m=Decimal("52"))

    assert [row.version for row in conveyor.components.all()] == [2, 2]


def test_a_removed_component_is_gone_for_a_form_still_open():
    conveyor = make_conveyor()
    rolls = add(conveyor, ROLLS)

    keeping_components.remove_component(conveyor_id=conveyor.pk, component_id=rolls.pk, by=None)

    assert not conveyor.components.exists()
    with pytest.raises(RowIsGone):
        edit(rolls, count=3)


def test_a_component_of_another_conveyor_is_not_reached():
    rolls = add(make_conveyor(), ROLLS)

    with pytest.raises(RowIsGone):
        keeping_components.remove_component(
            conveyor_id=make_conveyor().pk, component_id=rolls.pk, by=None
        )

    assert Component.objects.filter(pk=rolls.pk).exists()
