"""/api/v1/conveyors and what stands on them, as lists and as changes of the register."""

from typing import Any

from django_filters.rest_framework import DjangoFilterBackend
from drf_spectacular.utils import (
    OpenApiExample,
    PolymorphicProxySerializer,
    extend_schema,
    extend_schema_field,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers
from rest_framework.generics import ListAPIView, RetrieveAPIView

from plant.api.feed_views import ChangesOf, FeedAnswer, FeedEntry, feed_schema
from plant.api.paging import OldestKeyFirst
from plant.api.register_details import MarkRecord, RollChangeRecord, SpliceRecord
from plant.api.register_filters import BeltFilter, ComponentFilter, ConveyorFilter
from plant.api.register_records import (
    COMPONENT,
    BeltRecord,
    ComponentRecord,
    ConveyorRecord,
)
from plant.api.rows import ID, TAG, RowsOfAConveyor, RowsOfTheKey, conveyor_of_key
from plant.models import ApiKey, Belt, Component, Conveyor, Feed

_READ: dict[str, str] = {"GET": ApiKey.Scope.REGISTER_READ}
_RECORD = PolymorphicProxySerializer(
    component_name="RegisterRecord",
    serializers=[
        ConveyorRecord,
        ComponentRecord,
        BeltRecord,
        SpliceRecord,
        MarkRecord,
        RollChangeRecord,
    ],
    resource_type_field_name=None,
)
_ANSWER = {
    "next": "cmVnaXN0ZXJ8NDcxMXwxNzk1MDAwMDAwMDAwMDAw",
    "more": False,
    "results": [
        {
            "number": 4711,
            "at": "2026-11-17T03:12:40.118000Z",
            "plant": "LT",
            "kind": "changed",
            "of": "component",
            "key": "4711",
            "by": "person",
            "who": "Odile Brannock",
            "record": COMPONENT,
        }
    ],
}


class RegisterFeedEntry(FeedEntry):
    of = serializers.ChoiceField(
        choices=["conveyor", "component", "belt", "splice", "mark", "roll_change"]
    )
    record = serializers.SerializerMethodField()

    @extend_schema_field(_RECORD)
    def get_record(self, _row: Any) -> None:
        """Described here; the record itself goes out as it was kept."""


@extend_schema_serializer(
    examples=[OpenApiExample("A group of idlers set out anew", value=_ANSWER, response_only=True)]
)
class RegisterChanges(FeedAnswer):
    results = RegisterFeedEntry(many=True)


@extend_schema_view(
    get=feed_schema(
        "conveyors_changes",
        "What changed in the register, oldest first",
        RegisterChanges,
        "register",
        "Conveyors, components, belts, splices, marks and changed rolls; `of` says which.",
    )
)
class RegisterFeed(ChangesOf):
    scopes = _READ
    feed = Feed.REGISTER


@extend_schema_view(
    get=extend_schema(
        operation_id="conveyors_list",
        summary="Conveyors of the plant, in the order in which they were added",
        description="Also those that were retired.",
        tags=["register"],
    )
)
class ConveyorList(RowsOfTheKey, ListAPIView[Conveyor]):
    scopes = _READ
    queryset = Conveyor.objects.select_related("plant")
    serializer_class = ConveyorRecord
    filter_backends = [DjangoFilterBackend]
    filterset_class = ConveyorFilter
    pagination_class = OldestKeyFirst


@extend_schema_view(
    get=extend_schema(
        operation_id="components_list",
        summary="Components of a conveyor, in the order in which they were added",
        description="A group of equally spaced idler sets is one row.",
        parameters=[TAG],
        tags=["register"],
    )
)
class ComponentList(RowsOfAConveyor, ListAPIView[Component]):
    scopes = _READ
    worded = "component"
    queryset = Component.objects.select_related("conveyor__plant")
    serializer_class = ComponentRecord
    filter_backends = [DjangoFilterBackend]
    filterset_class = ComponentFilter
    pagination_class = OldestKeyFirst
    lookup_field = "conveyor__tag"


@extend_schema_view(
    get=extend_schema(
        operation_id="belts_list",
        summary="Belts of a conveyor, in the order in which they were added",
        description="The one that is on, and those taken off.",
        parameters=[TAG],
        tags=["register"],
    )
)
class BeltList(RowsOfAConveyor, ListAPIView[Belt]):
    scopes = _READ
    worded = "belt"
    queryset = Belt.objects.select_related("conveyor__plant")
    serializer_class = BeltRecord
    filter_backends = [DjangoFilterBackend]
    filterset_class = BeltFilter
    pagination_class = OldestKeyFirst
    lookup_field = "conveyor__tag"


@extend_schema_view(
    get=extend_schema(
        operation_id="conveyors_one",
        summary="One conveyor",
        description="Also one that was retired.",
        parameters=[TAG],
        tags=["register"],
    )
)
class ConveyorOne(RowsOfTheKey, RetrieveAPIView[Conveyor]):
    scopes = _READ
    queryset = Conveyor.objects.select_related("plant")
    serializer_class = ConveyorRecord
    lookup_field = "tag"

    def find_object(self) -> Conveyor:
        return conveyor_of_key(self.request, self.kwargs["tag"])


class _OneOfAConveyor(RowsOfAConveyor):
    scopes = _READ
    lookup_field = "pk"
    lookup_url_kwarg = "id"
    # By the parameters of its address.
    lookup_fields = {"tag": "conveyor__tag", "id": "pk"}


@extend_schema_view(
    get=extend_schema(
        operation_id="components_one",
        summary="One component",
        description="A group of equally spaced idler sets is one row.",
        parameters=[TAG, ID],
        tags=["register"],
    )
)
class ComponentOne(_OneOfAConveyor, RetrieveAPIView[Component]):
    worded = "component"
    queryset = Component.objects.select_related("conveyor__plant")
    serializer_class = ComponentRecord


@extend_schema_view(
    get=extend_schema(
        operation_id="belts_one",
        summary="One belt",
        description="The one that is on, or one taken off.",
        parameters=[TAG, ID],
        tags=["register"],
    )
)
class BeltOne(_OneOfAConveyor, RetrieveAPIView[Belt]):
    worded = "belt"
    queryset = Belt.objects.select_related("conveyor__plant")
    serializer_class = BeltRecord
