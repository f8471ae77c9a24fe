"""/api/v1/conveyors/<tag>/condition-readings."""

from typing import Any

from django.utils import timezone
from django_filters import rest_framework as filters
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.generics import ListAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.condition_serializers import CONDITIONS, ConditionDetail, ConditionSent
from plant.api.keys import key_of
from plant.api.rows import TAG, RowsOfAConveyor
from plant.api.times import InstantFilter
from plant.models import ApiKey, ConditionReading
from plant.services import reading_condition


class ConditionFilter(filters.FilterSet):
    quantity = filters.ChoiceFilter(choices=CONDITIONS, label="What was read.")
    component = filters.CharFilter(
        field_name="component__name", lookup_expr="iexact", label="Name of a component."
    )
    taken_since = InstantFilter(
        field_name="taken_at",
        lookup_expr="gte",
        label="Taken at or after this instant (ISO 8601, UTC unless it says otherwise).",
    )

    class Meta:
        model = ConditionReading
        fields: list[str] = []


@extend_schema_view(
    get=extend_schema(
        operation_id="condition_readings_list",
        summary="Condition readings of a conveyor, newest first",
        description="What was measured on its components and on its belts.",
        parameters=[TAG],
        tags=["condition readings"],
    )
)
class ConditionReadingList(RowsOfAConveyor, ListAPIView[ConditionReading]):
    scopes = {"GET": ApiKey.Scope.READINGS_READ, "POST": ApiKey.Scope.READINGS_WRITE}
    queryset = ConditionReading.objects.select_related("conveyor__plant", "component")
    serializer_class = ConditionDetail
    filter_backends = [filters.DjangoFilterBackend]
    filterset_class = ConditionFilter
    newest_by = "taken_at"
    lookup_field = "conveyor__tag"

    @extend_schema(
        operation_id="condition_readings_send",
        summary="Send a condition reading",
        description=(
            "Refused (409 figure_refused) when it cannot be, such as a thickness below nothing. "
            "One that is only unlikely is kept and people are asked about it. The very same "
            "reading sent again changes nothing and is answered with 200; another figure for the "
            "same place and instant is refused (409 other_reading_then)."
        ),
        parameters=[TAG],
        request=ConditionSent,
        responses={200: ConditionDetail, 201: ConditionDetail},
        tags=["condition readings"],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        conveyor = self.conveyor()
        asked = ConditionSent(data=request.data)
        asked.is_valid(raise_exception=True)
        new = asked.new_reading(conveyor, key_of(request).name)
        kept = reading_condition.keep_conditions(
            conveyor_id=conveyor.pk, new=[new], by=None, now=timezone.now()
        )
        row, is_new = kept[0]
        return Response(
            ConditionDetail(row).data,
            status=status.HTTP_201_CREATED if is_new else status.HTTP_200_OK,
        )
