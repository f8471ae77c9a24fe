"""/api/v1/conveyors/<tag>/condition-readings."""

from typing import Any

from django.urls import reverse
from django.utils import timezone
from django_filters import rest_framework as filters
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.generics import ListAPIView, RetrieveAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.condition_serializers import (
    CONDITIONS,
    ConditionCorrected,
    ConditionDetail,
    ConditionSent,
)
from plant.api.etags import expected_version
from plant.api.keys import key_of
from plant.api.read_schema import IF_MATCH_HEADER
from plant.api.rows import ID, TAG, RowsOfAConveyor
from plant.api.times import InstantFilter
from plant.models import ApiKey, ConditionReading, Conveyor
from plant.services import reading_condition

_ROWS = ConditionReading.objects.select_related("conveyor__plant", "component")


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
    queryset = _ROWS
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
        row, is_new = keep_condition(
            self.conveyor(), ConditionSent(data=request.data), key_of(request)
        )
        address = reverse("api-condition-reading", args=[row.conveyor.tag, row.pk])
        return Response(
            ConditionDetail(row).data,
            status=status.HTTP_201_CREATED if is_new else status.HTTP_200_OK,
            headers={"Location": address},
        )


def keep_condition(
    conveyor: Conveyor, asked: ConditionSent, key: ApiKey
) -> tuple[ConditionReading, bool]:
    """One that was sent, and whether it is new."""
    asked.is_valid(raise_exception=True)
    new = asked.new_reading(conveyor, key.name)
    kept = reading_condition.keep_conditions(
        conveyor_id=conveyor.pk, new=[new], by=None, now=timezone.now()
    )
    return kept[0]


@extend_schema_view(
    get=extend_schema(
        operation_id="condition_readings_one",
        summary="One condition reading",
        description="As the list shows it.",
        parameters=[TAG, ID],
        tags=["condition readings"],
    )
)
class ConditionReadingOne(RowsOfAConveyor, RetrieveAPIView[ConditionReading]):
    scopes = {
        "GET": ApiKey.Scope.READINGS_READ,
        "PATCH": ApiKey.Scope.READINGS_WRITE,
        "DELETE": ApiKey.Scope.READINGS_WRITE,
    }
    queryset = _ROWS
    serializer_class = ConditionDetail
    lookup_url_kwarg = "id"
    lookup_fields = {"tag": "conveyor__tag"}

    @extend_schema(
        operation_id="condition_readings_correct",
        summary="Correct a condition reading",
        description=(
            "Only one that a system sent: what a person wrote down is theirs to correct (409 "
            "kept_by_a_person). Refused as a new reading is when it cannot be."
        ),
        parameters=[TAG, ID, IF_MATCH_HEADER],
        request=ConditionCorrected,
        responses={200: ConditionDetail},
        tags=["condition readings"],
    )
    def patch(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        row = self.get_object()
        version = expected_version(request, row.version)
        asked = ConditionCorrected(data=request.data)
        asked.is_valid(raise_exception=True)
        corrected = reading_condition.correct_condition(
            conveyor_id=row.conveyor_id,
            reading_id=row.pk,
            corrected=asked.corrected(row),
            version=version,
            by=None,
            now=timezone.now(),
        )
        return Response(ConditionDetail(corrected).data)

    @extend_schema(
        operation_id="condition_readings_withdraw",
        summary="Take a condition reading back",
        description="Only one that a system sent. The history of the conveyor keeps it.",
        parameters=[TAG, ID, IF_MATCH_HEADER],
        responses={204: None},
        tags=["condition readings"],
    )
    def delete(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        row = self.get_object()
        reading_condition.take_back_condition(
            conveyor_id=row.conveyor_id,
            reading_id=row.pk,
            by=None,
            version=expected_version(request, row.version),
        )
        return Response(status=status.HTTP_204_NO_CONTENT)
