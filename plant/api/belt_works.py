"""/api/v1/conveyors/<tag>/belt-works: what was done to the belts of a conveyor."""

from typing import Any

from django.db.models import QuerySet
from django_filters import rest_framework as filters
from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_field,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers
from rest_framework.generics import ListAPIView

from plant.api.rows import TAG, RowsOfAConveyor
from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord, wire_word
from plant.loop.belt_operations import WorkKind
from plant.models import ApiKey, BeltWork

# Named for the description of the API, where several fields share it.
WORKS = [(wire_word(one.value), wire_word(one.value)) for one in WorkKind]
_KEPT: dict[str, Any] = {
    "id": 12,
    "plant": "LT",
    "conveyor": "Q30",
    "belt": "Belt of 2024",
    "belt_fitted_on": "2024-05-17",
    "kind": "section_cut_out",
    "done_on": "2026-11-02",
    "figures": {"from_m": 104.0, "to_m": 110.5, "name": "S3"},
    "note": None,
    "kept_at": "2026-11-02T05:00:09.000000Z",
    "kept_by": "Odile Brannock",
    "undone_at": None,
}
_WORK = OpenApiExample("A section cut out", value=_KEPT, response_only=True)


@extend_schema_serializer(examples=[_WORK])
class BeltWorkDetail(serializers.ModelSerializer[BeltWork]):
    plant = serializers.CharField(source="belt.conveyor.plant.code")
    conveyor = serializers.CharField(source="belt.conveyor.tag")
    belt = TextOrNull(source="belt.name")
    belt_fitted_on = serializers.DateField(source="belt.fitted_on", allow_null=True)
    kind = WireWord([one.value for one in WorkKind])
    done_on = serializers.DateField(allow_null=True)
    figures = serializers.SerializerMethodField(
        help_text="What was asked for: lengths and belt positions in metres, names, sides."
    )
    note = TextOrNull()
    kept_at = UtcTime()
    kept_by = serializers.SerializerMethodField(help_text="Null for the system itself.")
    undone_at = UtcTime(allow_null=True, help_text="Not null: it was taken back and counts not.")

    class Meta:
        model = BeltWork
        fields = list(_KEPT)
        read_only_fields = fields

    @extend_schema_field({"type": "object", "additionalProperties": True})
    def get_figures(self, row: BeltWork) -> dict[str, Any]:
        return dict(row.figures)

    @extend_schema_field({"type": ["string", "null"]})
    def get_kept_by(self, row: BeltWork) -> str | None:
        return str(row.kept_by) if row.kept_by else None


class BeltWorkFilter(filters.FilterSet):
    kind = filters.ChoiceFilter(choices=WORKS, label="Which work.", method="of_kind")

    class Meta:
        model = BeltWork
        fields: list[str] = []

    def of_kind(self, rows: QuerySet[BeltWork], _name: str, value: str) -> QuerySet[BeltWork]:
        by_word = {wire_word(one.value): one.value for one in WorkKind}
        return rows.filter(kind=by_word[value])


@extend_schema_view(
    get=extend_schema(
        operation_id="belt_works_list",
        summary="Work on the belts of a conveyor, newest first",
        description="Fitted, spliced, cut out, put in, turned, taken off; also what was undone.",
        parameters=[TAG],
        tags=["register"],
    )
)
class BeltWorkList(RowsOfAConveyor, ListAPIView[BeltWork]):
    scopes = {"GET": ApiKey.Scope.REGISTER_READ}
    queryset = BeltWork.objects.select_related("belt__conveyor__plant", "kept_by")
    serializer_class = BeltWorkDetail
    filter_backends = [filters.DjangoFilterBackend]
    filterset_class = BeltWorkFilter
    newest_by = "kept_at"
    lookup_field = "belt__conveyor__tag"
    conveyor_path = "belt__conveyor"
