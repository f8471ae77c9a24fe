"""What lies in a belt or was changed in an idler set: splices, marks, rolls, as lists tell them."""

from typing import Any

from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers
from rest_framework.generics import ListAPIView

from plant.api.paging import OldestKeyFirst
from plant.api.rows import TAG, RowsOfAConveyor
from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord
from plant.loop.rolls import RollPlace, WhyChanged
from plant.loop.vocabulary import Side
from plant.models import ApiKey, BeltMark, RollChange, Splice

_READ: dict[str, str] = {"GET": ApiKey.Scope.REGISTER_READ}

_SPLICE: dict[str, Any] = {
    "id": 31,
    "plant": "LT",
    "conveyor": "Q30",
    "belt": 12,
    "name": "S1",
    "belt_position_m": 214.5,
    "made_on": "2024-05-17",
    "note": None,
    "version": 1,
}
_MARK: dict[str, Any] = {
    "id": 8,
    "plant": "LT",
    "conveyor": "Q30",
    "belt": 12,
    "kind": "edge_damage",
    "belt_position_m": 402.0,
    "length_m": 1.2,
    "side": "left",
    "seen_on": "2026-09-03",
    "note": None,
    "version": 1,
}
_ROLL_CHANGE: dict[str, Any] = {
    "id": 205,
    "plant": "LT",
    "conveyor": "Q30",
    "component": "Carrying idlers",
    "set_number": 14,
    "set_name": "C14",
    "roll": "left_wing",
    "changed_on": "2026-10-12",
    "why": "seized",
    "fitted": None,
    "changed_by": "Line mechanics",
    "note": None,
    "undone_at": None,
    "version": 1,
}


@extend_schema_serializer(examples=[OpenApiExample("A splice", value=_SPLICE, response_only=True)])
class SpliceRecord(serializers.ModelSerializer[Splice]):
    plant = serializers.CharField(source="belt.conveyor.plant.code")
    conveyor = serializers.CharField(source="belt.conveyor.tag")
    belt = serializers.IntegerField(source="belt_id", help_text="`id` of the belt.")
    note = TextOrNull()

    class Meta:
        model = Splice
        fields = list(_SPLICE)
        read_only_fields = fields


@extend_schema_serializer(examples=[OpenApiExample("A mark", value=_MARK, response_only=True)])
class MarkRecord(serializers.ModelSerializer[BeltMark]):
    plant = serializers.CharField(source="belt.conveyor.plant.code")
    conveyor = serializers.CharField(source="belt.conveyor.tag")
    belt = serializers.IntegerField(source="belt_id", help_text="`id` of the belt.")
    kind = WireWord(BeltMark.Kind.values)
    side = WireWord([one.value for one in Side], allow_null=True)
    note = TextOrNull()

    class Meta:
        model = BeltMark
        fields = list(_MARK)
        read_only_fields = fields


@extend_schema_serializer(
    examples=[OpenApiExample("A roll changed", value=_ROLL_CHANGE, response_only=True)]
)
class RollChangeRecord(serializers.ModelSerializer[RollChange]):
    plant = serializers.CharField(source="conveyor.plant.code")
    conveyor = serializers.CharField(source="conveyor.tag")
    component = serializers.CharField(
        source="component.name",
        allow_null=True,
        default=None,
        help_text="Name of the group; null when it was removed since.",
    )
    set_name = TextOrNull()
    roll = WireWord([one.value for one in RollPlace])
    why = WireWord([one.value for one in WhyChanged])
    fitted = TextOrNull()
    changed_by = TextOrNull()
    note = TextOrNull()
    undone_at = UtcTime(allow_null=True, help_text="Taken back: it did not happen.")

    class Meta:
        model = RollChange
        fields = list(_ROLL_CHANGE)
        read_only_fields = fields


@extend_schema_view(
    get=extend_schema(
        operation_id="splices_list",
        summary="Splices of a conveyor's belts, in the order in which they were added",
        description="Also those of belts that were taken off.",
        parameters=[TAG],
        tags=["register"],
    )
)
class SpliceList(RowsOfAConveyor, ListAPIView[Splice]):
    scopes = _READ
    queryset = Splice.objects.select_related("belt__conveyor__plant")
    serializer_class = SpliceRecord
    pagination_class = OldestKeyFirst
    conveyor_path = "belt__conveyor"
    lookup_field = "belt__conveyor__tag"


@extend_schema_view(
    get=extend_schema(
        operation_id="marks_list",
        summary="Marks of a conveyor's belts, in the order in which they were added",
        description="Repairs, tears and damage, also of belts that were taken off.",
        parameters=[TAG],
        tags=["register"],
    )
)
class MarkList(RowsOfAConveyor, ListAPIView[BeltMark]):
    scopes = _READ
    queryset = BeltMark.objects.select_related("belt__conveyor__plant")
    serializer_class = MarkRecord
    pagination_class = OldestKeyFirst
    conveyor_path = "belt__conveyor"
    lookup_field = "belt__conveyor__tag"


@extend_schema_view(
    get=extend_schema(
        operation_id="roll_changes_list",
        summary="Rolls changed on a conveyor, in the order in which that was written down",
        description="Also what was taken back; `undone_at` says so.",
        parameters=[TAG],
        tags=["register"],
    )
)
class RollChangeList(RowsOfAConveyor, ListAPIView[RollChange]):
    scopes = _READ
    queryset = RollChange.objects.select_related("conveyor__plant", "component")
    serializer_class = RollChangeRecord
    pagination_class = OldestKeyFirst
    lookup_field = "conveyor__tag"
