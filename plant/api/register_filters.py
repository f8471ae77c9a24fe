"""How lists of the register can be narrowed."""

from django_filters import rest_framework as filters

from plant.api.filters import ChangedSince, Filled, Words, of_plant
from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Belt, Component, Conveyor


class ConveyorFilter(filters.FilterSet):
    tag = Words("tag", "Tag, whatever its letters' case.", any_case=True)
    area = Words("area", "Area, whatever its letters' case.", any_case=True)
    plant = of_plant("plant__code")
    retired = Filled("retired_on", "Whether it was retired.")
    changed_since = ChangedSince()

    class Meta:
        model = Conveyor
        fields: list[str] = []


class ComponentFilter(filters.FilterSet):
    kind = Words("kind", "Kind of component.", of=ComponentKind)
    run = Words("run", "Run of the belt it stands on.", of=Run)
    name = Words("name", "Name, whatever its letters' case.", any_case=True)
    plant = of_plant("conveyor__plant__code")

    class Meta:
        model = Component
        fields: list[str] = []


class BeltFilter(filters.FilterSet):
    taken_off = Filled("removed_on", "Whether it was taken off.")
    plant = of_plant("conveyor__plant__code")

    class Meta:
        model = Belt
        fields: list[str] = []
