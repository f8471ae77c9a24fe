"""Conveyors, components and belts on the wire, as lists and the change feed show them.

Lengths and loop positions are metres, as their names say; an empty text is null.
"""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord
from plant.loop.vocabulary import ComponentKind, Run, TakeUpKind
from plant.models import Belt, Component, Conveyor
from plant.words import CONSEQUENCE_WORDS

CONVEYOR: dict[str, Any] = {
    "id": 3,
    "plant": "LT",
    "tag": "Q30",
    "name": "Quay conveyor",
    "nicknames": ["the quay belt"],
    "area": "Quay",
    "carries": "bauxite",
    "centre_distance_m": 410.0,
    "lift_m": 12.5,
    "speed_mps": 3.1,
    "capacity_tph": 1800.0,
    "trough_angle_deg": 35.0,
    "return_vee_deg": 0.0,
    "clearance_mm": 120.0,
    "take_up": "gravity",
    "take_up_tension_kn": 40.0,
    "is_reversing": False,
    "left_words": "sea side",
    "right_words": "shed side",
    "isolation_points": ["Q30-IS-1 at the drive house"],
    "consequence": "whole_line",
    "note": None,
    "retired_on": None,
    "changed_at": "2026-11-17T03:12:40.118000Z",
    "version": 4,
}
COMPONENT: dict[str, Any] = {
    "id": 4711,
    "plant": "LT",
    "conveyor": "Q30",
    "name": "C",
    "kind": "troughing_idlers",
    "run": "carrying",
    "loop_position_m": 12.0,
    "spacing_m": 1.5,
    "count": 240,
    "is_numbered": True,
    "set_prefix": None,
    "first_number": 1,
    "diameter_mm": 152.0,
    "wrap_deg": None,
    "in_deg": None,
    "out_deg": None,
    "length_m": None,
    "rolls_per_set": 3,
    "fitted_on": "2024-05-17",
    "note": None,
    "version": 2,
}
BELT: dict[str, Any] = {
    "id": 12,
    "plant": "LT",
    "conveyor": "Q30",
    "name": "Belt of 2024",
    "width_mm": 1200.0,
    "carcass": "EP",
    "strength_n_mm": 1000.0,
    "modulus_kn_m": None,
    "mass_kg_m2": 16.5,
    "length_m": 842.0,
    "fitted_on": "2024-05-17",
    "removed_on": None,
    "version": 1,
}


@extend_schema_serializer(
    examples=[OpenApiExample("A conveyor", value=CONVEYOR, response_only=True)]
)
class ConveyorRecord(serializers.ModelSerializer[Conveyor]):
    plant = serializers.CharField(source="plant.code")
    nicknames = serializers.ListField(child=serializers.CharField())
    area = TextOrNull()
    carries = TextOrNull()
    take_up = WireWord([one.value for one in TakeUpKind], source="take_up_kind")
    left_words = TextOrNull()
    right_words = TextOrNull()
    isolation_points = serializers.ListField(child=serializers.CharField())
    consequence = WireWord(
        [one.value for one in CONSEQUENCE_WORDS],
        allow_null=True,
        help_text="What stands still with it.",
    )
    note = TextOrNull()
    changed_at = UtcTime()

    class Meta:
        model = Conveyor
        fields = list(CONVEYOR)
        read_only_fields = fields


@extend_schema_serializer(
    examples=[OpenApiExample("A group of idler sets", value=COMPONENT, response_only=True)]
)
class ComponentRecord(serializers.ModelSerializer[Component]):
    plant = serializers.CharField(source="conveyor.plant.code")
    conveyor = serializers.CharField(source="conveyor.tag")
    kind = WireWord([one.value for one in ComponentKind])
    run = WireWord([one.value for one in Run])
    loop_position_m = serializers.FloatField(source="first_m", help_text="Of a group: its first.")
    spacing_m = serializers.FloatField(allow_null=True)
    set_prefix = TextOrNull()
    note = TextOrNull()

    class Meta:
        model = Component
        fields = list(COMPONENT)
        read_only_fields = fields


@extend_schema_serializer(examples=[OpenApiExample("A belt", value=BELT, response_only=True)])
class BeltRecord(serializers.ModelSerializer[Belt]):
    plant = serializers.CharField(source="conveyor.plant.code")
    conveyor = serializers.CharField(source="conveyor.tag")
    name = TextOrNull()
    carcass = serializers.ChoiceField(choices=Belt.Carcass.values)

    class Meta:
        model = Belt
        fields = list(BELT)
        read_only_fields = fields
