"""Cases on the wire; instants are UTC."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord, wire_word
from plant.loop.vocabulary import Zone

# Named for the description of the API, where several fields share it.
CASE_STATES = [(wire_word(state), wire_word(state)) for state in CaseState]

CASE: dict[str, Any] = {
    "number": "LT-C-0089",
    "plant": "LT",
    "conveyor": {"tag": "Q30", "name": "Quay conveyor"},
    "state": "cause_found",
    "summary": "rubs its frame down by the tail",
    "cause": "return_idler_skewed",
    "cause_class": "return_idler",
    "zone": "return_run_after_the_take_up",
    "loop_position_m": 628.8,
    "opened_at": "2026-11-17T03:12:40.118000Z",
    "cause_found_at": "2026-11-17T19:42:10.512000Z",
    "proved_at": None,
    "ended_at": None,
    "repeat_of": None,
    "lost_hours": 1.5,
    "changed_at": "2026-11-17T19:42:10.530000Z",
    "version": 5,
}


class CaseConveyor(serializers.Serializer[Any]):
    tag = serializers.CharField()
    name = serializers.CharField()


@extend_schema_serializer(examples=[OpenApiExample("A case", value=CASE, response_only=True)])
class CaseRecord(serializers.ModelSerializer[Case]):
    plant = serializers.CharField(source="conveyor.plant.code")
    conveyor = CaseConveyor()
    state = WireWord(CaseState)
    cause = TextOrNull(help_text="What a person confirmed; null until then.")
    cause_class = TextOrNull()
    zone = WireWord(Zone, allow_null=True)
    loop_position_m = serializers.FloatField(source="position_m", allow_null=True)
    opened_at = UtcTime()
    cause_found_at = UtcTime(allow_null=True)
    proved_at = UtcTime(allow_null=True)
    ended_at = UtcTime(allow_null=True)
    repeat_of = serializers.CharField(
        source="repeat_of.number",
        allow_null=True,
        default=None,
        help_text="Number of the case that came back.",
    )
    lost_hours = serializers.FloatField(allow_null=True)
    changed_at = UtcTime()

    class Meta:
        model = Case
        fields = list(CASE)
        read_only_fields = fields
