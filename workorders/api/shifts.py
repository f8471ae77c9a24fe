"""/api/v1/work-orders/<number>/shifts: what was really moved by the work."""

from typing import Any

from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers
from rest_framework.generics import ListAPIView

from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord
from plant.loop.vocabulary import ComponentKind, Run
from plant.models import ApiKey
from workorders.api.rows_of_order import NUMBER, RowsOfAnOrder
from workorders.models import ShiftMade
from workorders.shift_ways import End, Moved, Way

_SHIFT: dict[str, Any] = {
    "id": 61,
    "plant": "LT",
    "conveyor": "Q30",
    "order": "LT-W-0111",
    "station": "R2-13",
    "kind": "return_idlers",
    "run": "return",
    "loop_position_m": 628.8,
    "moved": "hanger",
    "end": "left",
    "way": "against_travel",
    "moved_mm": 2.0,
    "made_at": "2026-11-18T13:40:00Z",
    "made_by": "Tam Verity",
    "note": None,
    "undone_at": None,
    "undo_order": None,
    "withdrawn_at": None,
}


@extend_schema_serializer(examples=[OpenApiExample("A shift", value=_SHIFT, response_only=True)])
class ShiftRecord(serializers.ModelSerializer[ShiftMade]):
    """Which end was moved which way; travel is the belt's at that place, on either run."""

    plant = serializers.CharField(source="conveyor.plant.code")
    conveyor = serializers.CharField(source="conveyor.tag")
    order = serializers.CharField(source="order.number", allow_null=True)
    kind = WireWord([one.value for one in ComponentKind])
    run = WireWord([one.value for one in Run])
    loop_position_m = serializers.FloatField(source="position_m")
    moved = serializers.ChoiceField(choices=[one.value for one in Moved])
    end = serializers.ChoiceField(choices=[one.value for one in End])
    way = serializers.ChoiceField(choices=[one.value for one in Way])
    made_at = UtcTime()
    made_by = TextOrNull()
    note = TextOrNull()
    undone_at = UtcTime(allow_null=True, help_text="Since when it is back where it was.")
    undo_order = serializers.CharField(
        source="undo_order.number",
        allow_null=True,
        default=None,
        help_text="Number of the order that is to bring it back, or did.",
    )
    withdrawn_at = UtcTime(
        source="taken_back_at",
        allow_null=True,
        help_text="Not null: it was written down by mistake and counts not.",
    )

    class Meta:
        model = ShiftMade
        fields = list(_SHIFT)
        read_only_fields = fields


@extend_schema_view(
    get=extend_schema(
        operation_id="work_order_shifts_list",
        summary="Shifts made by an order, newest first",
        description="What was moved where, by which end, how far; also what was undone since.",
        parameters=[NUMBER],
        tags=["work orders"],
    )
)
class ShiftList(RowsOfAnOrder, ListAPIView[ShiftMade]):
    scopes = {"GET": ApiKey.Scope.WORK_ORDERS_READ}
    worded = "shift"
    queryset = ShiftMade.objects.select_related("conveyor__plant", "order", "undo_order")
    serializer_class = ShiftRecord
    newest_by = "made_at"
