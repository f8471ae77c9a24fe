"""Condition readings on the wire; instants are UTC, values are in the unit of their quantity."""

import math
from dataclasses import fields
from datetime import datetime
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_field, extend_schema_serializer
from rest_framework import serializers

from plant.api.bodies import Body
from plant.api.times import UtcTime
from plant.api.words import TextOrNull
from plant.days import FIRST_DAY, LAST_DAY
from plant.loop.condition import Quantity
from plant.models import ConditionReading, Conveyor
from plant.roll_words import set_words
from plant.services.choosing_sets import place_of_set
from plant.services.reading_condition import Corrected, NewCondition
from plant.services.register_refusals import FigureRefused

# Named for the description of the API, where several fields share them.
CONDITIONS = [(one.value, one.value) for one in Quantity]

SENT_CONDITION: dict[str, Any] = {
    "quantity": "roll_shell_thickness",
    "value": 4.2,
    "component": "C1-",
    "set": "C1-9",
    "spot": "left wing",
    "taken_at": "2026-11-02T05:00:00Z",
    "taken_by": "thickness gauge of the quay",
    "note": None,
}
KEPT_CONDITION = {
    "id": 81,
    "plant": "LT",
    "conveyor": "Q30",
    **SENT_CONDITION,
    "unit": "mm",
    "version": 1,
}
KEPT = OpenApiExample("A reading", value=KEPT_CONDITION, response_only=True)
SENT = OpenApiExample("The shell of a roll", value=SENT_CONDITION, request_only=True)
CORRECTED = OpenApiExample("Read wrongly", value={"value": 4.6}, request_only=True)


@extend_schema_serializer(examples=[KEPT])
class ConditionDetail(serializers.ModelSerializer[ConditionReading]):
    plant = serializers.CharField(source="conveyor.plant.code")
    conveyor = serializers.CharField(source="conveyor.tag")
    quantity = serializers.ChoiceField(choices=CONDITIONS)
    value = serializers.FloatField()
    component = serializers.SerializerMethodField(
        help_text="Null for what is read on the belt that was on."
    )
    set = serializers.SerializerMethodField(
        help_text="Of a group of idlers: what the set is called today."
    )
    spot = TextOrNull()
    taken_at = UtcTime()
    taken_by = TextOrNull()
    note = TextOrNull()
    unit = serializers.CharField()

    class Meta:
        model = ConditionReading
        fields = list(KEPT_CONDITION)
        read_only_fields = fields

    @extend_schema_field({"type": ["string", "null"]})
    def get_component(self, row: ConditionReading) -> str | None:
        return row.component.name if row.component else None

    @extend_schema_field({"type": ["string", "null"]})
    def get_set(self, row: ConditionReading) -> str | None:
        if row.component is None or row.set_number is None:
            return None
        return set_words(row.component.as_part(), row.set_number)


@extend_schema_serializer(examples=[SENT])
class ConditionSent(Body):
    """A reading as another system sends it."""

    quantity = serializers.ChoiceField(choices=CONDITIONS)
    value = serializers.FloatField(
        min_value=-100,
        max_value=10_000,
        help_text="In mm, for temperatures °C, for travel m; a noise grade is 1 to 5.",
    )
    component = serializers.CharField(
        max_length=40,
        allow_null=True,
        default=None,
        help_text="Its name; null for what is read on the belt that is on.",
    )
    set = serializers.CharField(
        max_length=60,
        allow_null=True,
        default=None,
        help_text="Of a group of idlers: name or number of the set.",
    )
    spot = serializers.CharField(max_length=40, allow_null=True, allow_blank=True, default=None)
    taken_at = UtcTime(help_text="With its offset or Z.")
    taken_by = serializers.CharField(
        max_length=80,
        allow_null=True,
        allow_blank=True,
        default=None,
        help_text="The name of the key's system when left out.",
    )
    note = serializers.CharField(max_length=200, allow_null=True, allow_blank=True, default=None)

    def validate_value(self, value: float) -> float:
        return _checked_value(value)

    def validate_taken_at(self, at: datetime) -> datetime:
        return _checked_day(at)

    def new_reading(self, conveyor: Conveyor, key_name: str) -> NewCondition:
        """Refuses, naming the field, with ValidationError where component or set are none."""
        filled = self.validated_data
        component_id = _component_called(conveyor, filled["component"])
        try:
            component_id, place = place_of_set(conveyor, component_id, filled["set"] or "")
        except FigureRefused as refusal:
            raise serializers.ValidationError(
                {"set": serializers.ErrorDetail(str(refusal), code="unknown_set")}
            ) from refusal
        return NewCondition(
            quantity=Quantity(filled["quantity"]),
            value=filled["value"],
            taken_at=filled["taken_at"],
            component_id=component_id,
            set_number=place,
            spot=filled["spot"] or "",
            taken_by=filled["taken_by"] or key_name[:80],
            note=filled["note"] or "",
        )


@extend_schema_serializer(examples=[CORRECTED])
class ConditionCorrected(Body):
    """What is left out stays as it is; quantity and place are never changed."""

    value = serializers.FloatField(min_value=-100, max_value=10_000, required=False)
    taken_at = UtcTime(required=False, help_text="With its offset or Z.")
    spot = serializers.CharField(max_length=40, allow_null=True, allow_blank=True, required=False)
    taken_by = serializers.CharField(
        max_length=80, allow_null=True, allow_blank=True, required=False
    )
    note = serializers.CharField(max_length=200, allow_null=True, allow_blank=True, required=False)

    def validate_value(self, value: float) -> float:
        return _checked_value(value)

    def validate_taken_at(self, at: datetime) -> datetime:
        return _checked_day(at)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if not attrs:
            raise serializers.ValidationError("Say what shall change.", code="nothing_to_change")
        return attrs

    def corrected(self, row: ConditionReading) -> Corrected:
        as_it_is = {one.name: getattr(row, one.name) for one in fields(Corrected)}
        sent = {name: "" if value is None else value for name, value in self.validated_data.items()}
        return Corrected(**{**as_it_is, **sent})


def _checked_value(value: float) -> float:
    if not math.isfinite(value):
        raise serializers.ValidationError("Give a number.", code="invalid")
    return value


def _checked_day(at: datetime) -> datetime:
    if not FIRST_DAY <= at.date() <= LAST_DAY:
        raise serializers.ValidationError(
            "Give a day between 1950 and 2199.", code="day_out_of_bounds"
        )
    return at


def _component_called(conveyor: Conveyor, name: str | None) -> int | None:
    if name is None:
        return None
    found = conveyor.components.filter(name__iexact=name).first()
    if found is None:
        told = serializers.ErrorDetail(
            "No component of this conveyor is called that.", code="unknown_component"
        )
        raise serializers.ValidationError({"component": told})
    return found.pk
