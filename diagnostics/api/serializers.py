"""Complaints on the wire; instants are UTC."""

from typing import Any

from drf_spectacular.utils import extend_schema_field, extend_schema_serializer
from rest_framework import serializers

from diagnostics.api import examples
from diagnostics.case_states import CaseState
from diagnostics.models import Case, Complaint
from diagnostics.services.complaints import Report
from plant.api.bodies import Body
from plant.api.naming import conveyor_called
from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord
from plant.loop.vocabulary import Zone
from plant.models import Conveyor, Plant


class ComplaintConveyor(serializers.Serializer[Any]):
    tag = serializers.CharField()
    name = serializers.CharField()


class CaseRef(serializers.ModelSerializer[Case]):
    state = WireWord(CaseState)

    class Meta:
        model = Case
        fields = ["number", "state"]
        read_only_fields = fields


_FIELDS = [
    "id",
    "plant",
    "conveyor",
    "case",
    "words",
    "how_bad",
    "roughly_where",
    "people_near",
    "caller_name",
    "caller_contact",
    "shift",
    "external_number",
    "received_at",
    "withdrawn_at",
    "withdrawn_why",
    "changed_at",
    "version",
]


@extend_schema_serializer(examples=[examples.COMPLAINT])
class ComplaintDetail(serializers.ModelSerializer[Complaint]):
    plant = serializers.CharField(source="plant.code")
    # Null while nobody is sure which belt it is.
    conveyor = ComplaintConveyor(allow_null=True)
    case = CaseRef(allow_null=True)
    how_bad = WireWord(Complaint.HowBad.values)
    roughly_where = WireWord(Zone, allow_null=True)
    people_near = WireWord(Complaint.PeopleNear.values, allow_null=True)
    caller_name = TextOrNull()
    caller_contact = TextOrNull()
    shift = TextOrNull()
    external_number = TextOrNull()
    received_at = UtcTime()
    withdrawn_at = UtcTime(allow_null=True)
    withdrawn_why = TextOrNull()
    changed_at = UtcTime()

    class Meta:
        model = Complaint
        fields = _FIELDS
        read_only_fields = fields


@extend_schema_serializer(examples=[examples.TAKEN])
class ComplaintTaken(ComplaintDetail):
    opened_case = serializers.SerializerMethodField()

    class Meta:
        model = Complaint
        fields = [*_FIELDS, "opened_case"]
        read_only_fields = fields

    @extend_schema_field(
        serializers.BooleanField(
            help_text="Whether the complaint opened a case of its own; false when it joined one."
        )
    )
    def get_opened_case(self, _complaint: Complaint) -> bool:
        return bool(self.context["opened_case"])


@extend_schema_serializer(examples=[examples.HANDED_IN])
class HandedIn(Body):
    """A complaint as another system hands it in; needs the asking key's plant as `plant`."""

    conveyor = serializers.CharField(
        max_length=40, allow_null=True, help_text="Tag; null when nobody is sure which belt it is."
    )
    words = serializers.CharField(max_length=2000, help_text="The caller's own words.")
    how_bad = WireWord(Complaint.HowBad.values, default=Complaint.HowBad.OFF_CENTRE.value)
    roughly_where = WireWord(Zone, allow_null=True, default=None)
    people_near = WireWord(
        Complaint.PeopleNear.values,
        allow_null=True,
        default=None,
        help_text="Who could be hurt there; null when nobody said.",
    )
    caller_name = serializers.CharField(
        max_length=120,
        allow_null=True,
        allow_blank=True,
        default=None,
        help_text="The name of the key's system when left out.",
    )
    caller_contact = serializers.CharField(
        max_length=120, allow_null=True, allow_blank=True, default=None
    )
    shift = serializers.CharField(max_length=40, allow_null=True, allow_blank=True, default=None)
    external_number = serializers.CharField(
        max_length=80, allow_null=True, allow_blank=True, default=None
    )
    join_case = serializers.CharField(
        max_length=24,
        allow_null=True,
        default=None,
        help_text="Number of the open case on this conveyor that it is the same problem as.",
    )
    new_problem = serializers.BooleanField(
        default=False,
        help_text="Opens a case of its own although one is open on the conveyor.",
    )

    def __init__(self, *args: Any, plant: Plant | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._plant = plant

    def validate_conveyor(self, tag: str | None) -> Conveyor | None:
        if tag is None:
            return None
        assert self._plant is not None
        return conveyor_called(tag, self._plant)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["join_case"] and attrs["new_problem"]:
            raise serializers.ValidationError(
                {"new_problem": "Give either join_case or new_problem."}, code="contradiction"
            )
        if attrs["conveyor"] is None and attrs["join_case"]:
            raise serializers.ValidationError(
                {"join_case": "Only a complaint that names its conveyor can join a case."},
                code="conveyor_needed",
            )
        return attrs

    def report(self, key_name: str) -> Report:
        filled = self.validated_data
        return Report(
            words=filled["words"],
            conveyor=filled["conveyor"],
            how_bad=filled["how_bad"],
            roughly_where=filled["roughly_where"] or "",
            people_near=filled["people_near"] or "",
            caller_name=filled["caller_name"] or key_name,
            caller_contact=filled["caller_contact"] or "",
            shift=filled["shift"] or "",
            external_number=filled["external_number"] or "",
        )
