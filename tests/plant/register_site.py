"""A conveyor, its keeper, and the addresses and forms of its register pages."""

from collections.abc import Iterator

from django.test import Client
from django.urls import reverse

from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.plant.factories import (
    make_complete_conveyor,
    make_person,
    signed_in,
)


def quay_belt(plant: Plant) -> Conveyor:
    return make_complete_conveyor(plant, tag="Q30", nicknames=["the quay belt"], area="Quay")


def client_of(role: Role, plant: Plant) -> Client:
    return signed_in(make_person(role, plants=[plant]))


def address(conveyor: Conveyor, name: str = "conveyor", *more: object) -> str:
    return reverse(name, args=[conveyor.plant.code, conveyor.tag, *more])


def form_addresses(conveyor: Conveyor) -> Iterator[str]:
    belt = conveyor.belts.get()
    component, splice = conveyor.components.first(), belt.splices.first()
    mark = belt.marks.create(kind="tear", belt_position_m=3.0)
    yield reverse("conveyor-new")
    for name in ("conveyor-edit", "conveyor-lay-out", "conveyor-retire", "component-new"):
        yield address(conveyor, name)
    yield address(conveyor, "belt-fit")
    for name in ("component-edit", "component-remove"):
        yield address(conveyor, name, component.pk)
    for name in ("belt-edit", "belt-take-off", "splice-new", "mark-new"):
        yield address(conveyor, name, belt.pk)
    for name in ("splice-edit", "splice-remove"):
        yield address(conveyor, name, belt.pk, splice.pk)
    for name in ("mark-edit", "mark-remove"):
        yield address(conveyor, name, belt.pk, mark.pk)


CONVEYOR_FORM = {
    "tag": "Y1",
    "name": "Yard belt",
    "nicknames": "the yard,  lorry  belt , The Yard,",
    "centre_distance_m": "80",
    "lift_m": "0",
    "speed_mps": "2.5",
    "trough_angle_deg": "35",
    "return_vee_deg": "0",
    "clearance_mm": "100",
    "take_up_kind": "screw",
    "left_words": "wall side",
    "right_words": "yard side",
}
COMPONENT_FORM = {
    "name": "D",
    "kind": "structure_section",
    "run": "carrying",
    "first_m": "50",
    "count": "1",
    "length_m": "6",
}


def form_of(row: Conveyor, **changed: str) -> dict[str, str]:
    form = {**CONVEYOR_FORM, "tag": row.tag, "name": row.name, "nicknames": ""}
    return {**form, "version": str(row.version), **changed}
