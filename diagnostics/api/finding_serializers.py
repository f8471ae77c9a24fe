"""Findings on the wire: what a close look at one cause showed, yes or no."""

from datetime import datetime, timedelta
from difflib import get_close_matches
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema_field, extend_schema_serializer
from rest_framework import serializers

from diagnostics.models import Case, Finding
from diagnostics.selectors import shelf, suspects
from plant.api.bodies import Body
from plant.api.times import UtcTime
from plant.api.words import TextOrNull
from plant.days import FIRST_DAY, LAST_DAY
from plant.loop.path import Loop

# Clocks of other systems may run ahead a little; engineering judgement.
_CLOCKS_DIFFER = timedelta(minutes=5)
_NEAREST = 3

SENT_FINDING: dict[str, Any] = {
    "cause": "return_idler_skewed",
    "is_present": True,
    "place": "R2-13",
    "note": "left hanger sits 20 mm ahead of the right one",
    "found_at": "2026-11-17T18:05:00Z",
}
KEPT_FINDING: dict[str, Any] = {
    "id": 402,
    "plant": "LT",
    "conveyor": "Q30",
    "case": "LT-C-0089",
    **SENT_FINDING,
    "component": "R2-",
    "found_by": "inspection rounds of the quay",
    "withdrawn_at": None,
    "version": 1,
}


@extend_schema_serializer(
    examples=[OpenApiExample("A finding", value=KEPT_FINDING, response_only=True)]
)
class FindingDetail(serializers.ModelSerializer[Finding]):
    plant = serializers.CharField(source="case.conveyor.plant.code")
    conveyor = serializers.CharField(source="case.conveyor.tag")
    case = serializers.CharField(source="case.number")
    place = TextOrNull(help_text="The station looked at; null where nobody said.")
    note = TextOrNull()
    found_at = UtcTime()
    component = serializers.SerializerMethodField(help_text="What the station belongs to.")
    found_by = TextOrNull(source="who", help_text="The person, or the name of the key's system.")
    withdrawn_at = UtcTime(
        source="taken_back_at", allow_null=True, help_text="Since when it does not count."
    )

    class Meta:
        model = Finding
        fields = list(KEPT_FINDING)
        read_only_fields = fields

    @extend_schema_field({"type": ["string", "null"]})
    def get_component(self, row: Finding) -> str | None:
        return row.component.name if row.component else None


@extend_schema_serializer(
    examples=[OpenApiExample("A skewed return idler", value=SENT_FINDING, request_only=True)]
)
class FindingSent(Body):
    """A finding as another system sends it; needs the case it is about as `case`."""

    cause = serializers.CharField(
        max_length=60, help_text="What was looked for, as cases name their causes."
    )
    is_present = serializers.BooleanField(help_text="Whether it is there.")
    place = serializers.CharField(
        max_length=48,
        allow_null=True,
        allow_blank=True,
        default=None,
        help_text="The station looked at, as the register calls it; null for the belt itself.",
    )
    note = serializers.CharField(max_length=400, allow_null=True, allow_blank=True, default=None)
    found_at = UtcTime(
        allow_null=True, default=None, help_text="With its offset or Z; now when left out."
    )

    def __init__(self, *args: Any, case: Case | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._case = case

    def validate_cause(self, slug: str) -> str:
        assert self._case is not None
        known = shelf.knowledge_of(self._case.conveyor.plant_id).causes
        if slug not in known:
            raise serializers.ValidationError(
                _unknown("The catalogue has no cause", slug, list(known)), code="unknown_cause"
            )
        return slug

    def validate_place(self, name: str | None) -> str:
        assert self._case is not None
        loop = suspects.loop_or_none(self._case.conveyor) if name else None
        if not name or loop is None:
            return name or ""
        found = suspects.place_named(loop, name)
        if found is None:
            raise serializers.ValidationError(_unknown_place(name, loop), code="unknown_place")
        return found.component

    def validate_found_at(self, at: datetime | None) -> datetime | None:
        if at is None:
            return None
        if not FIRST_DAY <= at.date() <= LAST_DAY:
            raise serializers.ValidationError(
                "Give a day between 1950 and 2199.", code="day_out_of_bounds"
            )
        if at > timezone.now() + _CLOCKS_DIFFER:
            raise serializers.ValidationError("That time is still to come.", code="still_to_come")
        return at


@extend_schema_serializer(
    examples=[OpenApiExample("Withdrawn", value={"withdrawn": True}, request_only=True)]
)
class FindingChange(Body):
    withdrawn = serializers.BooleanField(
        help_text="True: it counts no more, and stays to be read; false: it counts again."
    )


def _unknown_place(name: str, loop: Loop) -> str:
    stations = [station.name for station in loop.stations]
    return _unknown("The belt has no station", name, stations)


def _unknown(said: str, name: str, known: list[str]) -> str:
    near = get_close_matches(name, known, n=_NEAREST, cutoff=0.4)
    return f"{said} {name}." + (f" Nearest: {', '.join(near)}." if near else "")
