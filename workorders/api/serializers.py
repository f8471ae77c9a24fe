"""Work orders on the wire. Numbers carry their unit in the name; instants are UTC."""

from typing import Any

from drf_spectacular.utils import extend_schema_field, extend_schema_serializer
from rest_framework import serializers

from diagnostics.api.case_detail import Correction
from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord
from plant.loop.vocabulary import Side, Zone
from workorders.api import examples
from workorders.models import OrderMove, ProofRun, WorkOrder, WorkStep
from workorders.order_states import OrderState, Waiting
from workorders.urgency import Urgency

# Named for the description of the API, where several fields share it.
ORDER_STATES = [(state.value, state.value) for state in OrderState]


class ConveyorRef(serializers.Serializer[Any]):
    tag = serializers.CharField()
    name = serializers.CharField()


class Step(serializers.ModelSerializer[WorkStep]):
    duration_h = serializers.FloatField(source="hours", allow_null=True)
    skill = TextOrNull()
    done_at = UtcTime(allow_null=True)

    class Meta:
        model = WorkStep
        fields = ["place", "what", "duration_h", "skill", "done_at"]
        read_only_fields = fields


class Move(serializers.ModelSerializer[OrderMove]):
    from_state = WireWord(OrderState, allow_null=True)
    to_state = WireWord(OrderState)
    at = UtcTime()
    by = serializers.SerializerMethodField()
    why = TextOrNull()

    class Meta:
        model = OrderMove
        fields = ["from_state", "to_state", "at", "by", "why"]
        read_only_fields = fields

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_by(self, move: OrderMove) -> str | None:
        return move.who or None


class Proof(serializers.ModelSerializer[ProofRun]):
    at = UtcTime()
    note = TextOrNull()

    class Meta:
        model = ProofRun
        fields = ["passed", "revolutions_empty", "revolutions_loaded", "note", "at"]
        read_only_fields = fields


_SUMMARY = [
    "number",
    "plant",
    "conveyor",
    "case",
    "title",
    "state",
    "urgency",
    "cause",
    "zone",
    "component",
    "loop_position_m",
    "due_on",
    "earliest_on",
    "planned_for",
    "planned_until",
    "window",
    "crew",
    "waiting_for",
    "external_number",
    "merged_into",
    "split_from",
    "raised_at",
    "ended_at",
    "changed_at",
    "version",
]


@extend_schema_serializer(examples=[examples.SUMMARY])
class OrderSummary(serializers.ModelSerializer[WorkOrder]):
    plant = serializers.CharField(source="conveyor.plant.code")
    conveyor = ConveyorRef()
    case = serializers.CharField(source="case.number", allow_null=True, default=None)
    state = WireWord(OrderState)
    urgency = WireWord(Urgency)
    cause = TextOrNull()
    zone = WireWord(Zone, allow_null=True)
    component = TextOrNull()
    loop_position_m = serializers.FloatField(source="position_m", allow_null=True)
    planned_for = UtcTime(allow_null=True)
    planned_until = UtcTime(allow_null=True)
    window = serializers.CharField(source="window.name", allow_null=True, default=None)
    crew = serializers.CharField(source="crew.name", allow_null=True, default=None)
    waiting_for = WireWord(Waiting, allow_null=True)
    external_number = TextOrNull()
    merged_into = serializers.CharField(source="merged_into.number", allow_null=True, default=None)
    split_from = serializers.CharField(source="split_from.number", allow_null=True, default=None)
    raised_at = UtcTime()
    ended_at = UtcTime(allow_null=True)
    changed_at = UtcTime()

    class Meta:
        model = WorkOrder
        fields = _SUMMARY
        read_only_fields = fields


@extend_schema_serializer(examples=[examples.DETAIL])
class OrderDetail(OrderSummary):
    urgency_reasons = serializers.ListField(child=serializers.CharField())
    urgency_why = TextOrNull()
    work_method = TextOrNull()
    side = WireWord(Side, allow_null=True)
    side_words = serializers.SerializerMethodField()
    correction = Correction(allow_null=True)
    duration_h = serializers.FloatField(source="hours", allow_null=True)
    tools = serializers.ListField(child=serializers.CharField())
    parts = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())
    proof = TextOrNull()
    waiting_why = TextOrNull()
    waits_for = serializers.SerializerMethodField()
    steps = Step(many=True)
    moves = Move(many=True)
    proof_runs = Proof(many=True)

    class Meta:
        model = WorkOrder
        fields = [
            *_SUMMARY,
            "urgency_reasons",
            "urgency_why",
            "work_method",
            "belt_position_m",
            "side",
            "side_words",
            "correction",
            "needs_isolation",
            "duration_h",
            "people",
            "tools",
            "parts",
            "cautions",
            "proof",
            "waiting_why",
            "waits_for",
            "steps",
            "moves",
            "proof_runs",
        ]
        read_only_fields = fields

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_side_words(self, order: WorkOrder) -> str | None:
        return (order.conveyor.words_for(order.side) or None) if order.side else None

    def get_waits_for(self, order: WorkOrder) -> list[str]:
        """Numbers of the orders that must be done before it begins."""
        return sorted(link.after.number for link in order.waits_for.all())
