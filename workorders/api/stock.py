"""/api/v1/parts and /api/v1/due: what there is to work with, and what is to be renewed when."""

from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils import timezone
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

from plant.api.filters import Filled, Words, of_conveyor, of_plant
from plant.api.keys import plants_of_key
from plant.api.paging import OldestKeyFirst
from plant.api.rows import RowsOfTheKey
from plant.api.words import TextOrNull, WireWord
from plant.models import ApiKey
from workorders import due_words
from workorders.life_subjects import Renewed
from workorders.models import DueItem, DueOrder, Part, PartDue
from workorders.order_states import OPEN_STATES
from workorders.selectors import part_figures

# Named for the description of the API, where several kinds are told.
PART_KINDS = [(kind, kind) for kind in Part.Kind.values]
_READ: dict[str, str] = {"GET": ApiKey.Scope.WORK_ORDERS_READ}
_OPEN = sorted(state.value for state in OPEN_STATES)
_PART: dict[str, Any] = {
    "plant": "LT",
    "number": "R-159-465",
    "name": "Carrying roll 159 mm, 465 mm long",
    "kind": "roll",
    "unit": "pcs",
    "known_as": ["159 mm roll"],
    "on_hand": 14.0,
    "reserved": 6.0,
    "dues": [{"amount": 20.0, "due_on": "2026-12-04"}],
    "kept_at": "Shed 2, bay 4",
    "note": None,
    "retired_on": None,
    "version": 7,
}
_DUE: dict[str, Any] = {
    "key": "component:4711:lagging_thickness",
    "plant": "LT",
    "conveyor": "Q30",
    "component": "Head pulley",
    "what": "lagging",
    "reason": "wear",
    "where": "Head pulley",
    "station": "Head pulley",
    "loop_position_m": 410.0,
    "sets": [],
    "count": 1,
    "due_on": "2027-02-11",
    "due_from": "2027-01-20",
    "due_until": "2027-03-09",
    "work_method": "renew-lagging",
    "why": "lagging thickness: 6.2 mm, limit 5 mm, line through 4 readings",
    "order": None,
}


class PartDueRef(serializers.ModelSerializer[PartDue]):
    amount = serializers.FloatField()

    class Meta:
        model = PartDue
        fields = ["amount", "due_on"]
        read_only_fields = fields


@extend_schema_serializer(examples=[OpenApiExample("A part", value=_PART, response_only=True)])
class PartRecord(serializers.ModelSerializer[Part]):
    plant = serializers.CharField(source="plant.code")
    kind = serializers.ChoiceField(choices=Part.Kind.values)
    unit = serializers.ChoiceField(choices=Part.Unit.values)
    known_as = serializers.ListField(child=serializers.CharField())
    on_hand = serializers.FloatField()
    reserved = serializers.FloatField(help_text="For open orders, and not used yet.")
    dues = PartDueRef(source="waiting", many=True, help_text="What is to come, and when.")
    kept_at = TextOrNull()
    note = TextOrNull()

    class Meta:
        model = Part
        fields = list(_PART)
        read_only_fields = fields


class PartFilter(filters.FilterSet):
    number = Words("number", "Part number, whatever its letters' case.", any_case=True)
    kind = Words("kind", "Kind of part.", of=Part.Kind.values)
    plant = of_plant("plant__code")
    retired = Filled("retired_on", "Whether it was retired.")

    class Meta:
        model = Part
        fields: list[str] = []


@extend_schema_view(
    get=extend_schema(
        operation_id="parts_list",
        summary="Parts of the plant, in the order in which they were added",
        description="What is on hand, what of it is reserved for open orders, and what is due.",
        tags=["parts"],
    )
)
class StockList(RowsOfTheKey, ListAPIView[Part]):
    scopes = _READ
    worded = "part"
    queryset = Part.objects.all()
    serializer_class = PartRecord
    filter_backends = [filters.DjangoFilterBackend]
    filterset_class = PartFilter
    pagination_class = OldestKeyFirst

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        days = part_figures.days_of(plants_of_key(self.request), timezone.now())
        return part_figures.with_figures(super().filter_queryset(queryset), days)


@extend_schema_serializer(examples=[OpenApiExample("Lagging", value=_DUE, response_only=True)])
class DueRecord(serializers.ModelSerializer[DueItem]):
    key = serializers.CharField(help_text="Stays while the same thing is due on the conveyor.")
    plant = serializers.CharField(source="conveyor.plant.code")
    conveyor = serializers.CharField(source="conveyor.tag")
    component = serializers.CharField(source="component.name", allow_null=True, default=None)
    what = WireWord([one.value for one in Renewed])
    reason = serializers.ChoiceField(choices=DueItem.Reason.values)
    station = TextOrNull()
    loop_position_m = serializers.FloatField(source="position_m", allow_null=True)
    sets = serializers.ListField(child=serializers.CharField())
    work_method = TextOrNull()
    why = serializers.SerializerMethodField()
    order = serializers.CharField(
        source="open_order", allow_null=True, help_text="Number of the open order raised for it."
    )

    class Meta:
        model = DueItem
        fields = list(_DUE)
        read_only_fields = fields

    @extend_schema_field(serializers.CharField())
    def get_why(self, item: DueItem) -> str:
        return due_words.why_words(item)


class DueFilter(filters.FilterSet):
    conveyor = of_conveyor()
    plant = of_plant("conveyor__plant__code")
    what = Words("what", "What is to be renewed.", of=Renewed)
    reason = Words("reason", "Why.", of=DueItem.Reason.values)
    due_before = filters.DateFilter(
        field_name="due_on", lookup_expr="lt", label="Due before this day."
    )

    class Meta:
        model = DueItem
        fields: list[str] = []


_OPEN_ORDER = (
    DueOrder.objects.filter(
        conveyor=OuterRef("conveyor"), key=OuterRef("key"), order__state__in=_OPEN
    )
    .order_by("-pk")
    .values("order__number")[:1]
)


@extend_schema_view(
    get=extend_schema(
        operation_id="due_list",
        summary="What is to be renewed, and when",
        description=(
            "Lagging, rolls, bearings, blades and belts by their limits, wear and lives, as last "
            "reckoned; no order of days. Conveyors that were retired have nothing due."
        ),
        tags=["due"],
    )
)
class DueList(RowsOfTheKey, ListAPIView[DueItem]):
    scopes = _READ
    worded = "due"
    queryset = (
        DueItem.objects.filter(conveyor__retired_on__isnull=True)
        .select_related("conveyor__plant", "component")
        .annotate(open_order=Subquery(_OPEN_ORDER))
    )
    serializer_class = DueRecord
    filter_backends = [filters.DjangoFilterBackend]
    filterset_class = DueFilter
    pagination_class = OldestKeyFirst
