"""/api/v1/conveyors/<tag>/meter-readings."""

from typing import Any

from django.urls import reverse
from django.utils import timezone
from django_filters import rest_framework as filters
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.generics import ListAPIView, RetrieveAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.keys import key_of
from plant.api.meter_serializers import QUANTITIES, MeterReadingDetail, ReadingSent
from plant.api.rows import ID, TAG, RowsOfAConveyor
from plant.api.times import InstantFilter
from plant.models import ApiKey, Conveyor, MeterReading
from plant.services import reading_meters

_ROWS = MeterReading.objects.select_related("conveyor__plant")


class MeterReadingFilter(filters.FilterSet):
    quantity = filters.ChoiceFilter(choices=QUANTITIES, label="Which meter.")
    read_since = InstantFilter(
        field_name="read_at",
        lookup_expr="gte",
        label="Read at or after this instant (ISO 8601, UTC unless it says otherwise).",
    )

    class Meta:
        model = MeterReading
        fields: list[str] = []


@extend_schema_view(
    get=extend_schema(
        operation_id="meter_readings_list",
        summary="Meter readings of a conveyor, newest first",
        description="Running hours and tonnes as its meters showed them.",
        parameters=[TAG],
        tags=["meter readings"],
    )
)
class MeterReadingList(RowsOfAConveyor, ListAPIView[MeterReading]):
    scopes = {"GET": ApiKey.Scope.METERS_READ, "POST": ApiKey.Scope.METERS_WRITE}
    queryset = _ROWS
    serializer_class = MeterReadingDetail
    filter_backends = [filters.DjangoFilterBackend]
    filterset_class = MeterReadingFilter
    newest_by = "read_at"
    lookup_field = "conveyor__tag"

    @extend_schema(
        operation_id="meter_readings_send",
        summary="Send a meter reading",
        description=(
            "Refused (409 implausible_reading) when the meter would have gone backwards without "
            "a reason or counted more hours than the clock. The very same reading sent again "
            "changes nothing and is answered with 200; another figure for the same instant is "
            "refused (409 other_reading_then)."
        ),
        parameters=[TAG],
        request=ReadingSent,
        responses={200: MeterReadingDetail, 201: MeterReadingDetail},
        tags=["meter readings"],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        reading, is_new = keep_meter(
            self.conveyor(), ReadingSent(data=request.data), key_of(request)
        )
        address = reverse("api-meter-reading", args=[reading.conveyor.tag, reading.pk])
        return Response(
            MeterReadingDetail(reading).data,
            status=status.HTTP_201_CREATED if is_new else status.HTTP_200_OK,
            headers={"Location": address},
        )


def keep_meter(conveyor: Conveyor, asked: ReadingSent, key: ApiKey) -> tuple[MeterReading, bool]:
    """One that was sent, and whether it is new."""
    asked.is_valid(raise_exception=True)
    return reading_meters.keep_reading(
        conveyor_id=conveyor.pk, new=asked.new_reading(key.name), by=None, now=timezone.now()
    )


@extend_schema_view(
    get=extend_schema(
        operation_id="meter_readings_one",
        summary="One meter reading",
        description="As the list shows it.",
        parameters=[TAG, ID],
        tags=["meter readings"],
    )
)
class MeterReadingOne(RowsOfAConveyor, RetrieveAPIView[MeterReading]):
    scopes = {"GET": ApiKey.Scope.METERS_READ, "DELETE": ApiKey.Scope.METERS_WRITE}
    queryset = _ROWS
    serializer_class = MeterReadingDetail
    lookup_url_kwarg = "id"
    lookup_fields = {"tag": "conveyor__tag"}

    @extend_schema(
        operation_id="meter_readings_withdraw",
        summary="Take a meter reading back",
        description=(
            "A reading is never changed: take it back and send it anew; If-Match is not needed. "
            "Only one that a system sent (409 kept_by_a_person), and only while the readings "
            "around it follow on each other without it (409 implausible_reading)."
        ),
        parameters=[TAG, ID],
        responses={204: None},
        tags=["meter readings"],
    )
    def delete(self, _request: Request, *_args: Any, **_kwargs: Any) -> Response:
        row = self.get_object()
        reading_meters.take_back_reading(conveyor_id=row.conveyor_id, reading_id=row.pk, by=None)
        return Response(status=status.HTTP_204_NO_CONTENT)
