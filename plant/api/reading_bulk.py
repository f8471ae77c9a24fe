"""/api/v1/meter-readings/bulk and /api/v1/condition-readings/bulk: of several conveyors at once."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from drf_spectacular.utils import OpenApiExample
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.bulk import BulkWrite, Done, bulk_schema
from plant.api.condition_readings import keep_condition
from plant.api.condition_serializers import (
    KEPT_CONDITION,
    SENT_CONDITION,
    ConditionDetail,
    ConditionSent,
)
from plant.api.keys import key_of, rows_of_key
from plant.api.meter_readings import keep_meter
from plant.api.meter_serializers import KEPT_METER, SENT_METER, MeterReadingDetail, ReadingSent
from plant.api.naming import conveyor_called, texts_of
from plant.models import ApiKey, ConditionReading, Conveyor, MeterReading
from plant.services.conveyor_lock import lock_conveyors

_HELP = "Tag of the conveyor it was read on."


def _example(sent: dict[str, Any]) -> OpenApiExample:
    items = [{"conveyor": "Q30", **sent}]
    return OpenApiExample(
        "Readings of a round", value={"all_or_nothing": False, "items": items}, request_only=True
    )


def _answered(kept: dict[str, Any]) -> OpenApiExample:
    results = [{"index": 0, "status": 201, "record": kept}]
    return OpenApiExample("All kept", value={"results": results}, response_only=True)


class MeterReadingItem(ReadingSent):
    conveyor = serializers.CharField(max_length=40, help_text=_HELP)


class ConditionReadingItem(ConditionSent):
    conveyor = serializers.CharField(max_length=40, help_text=_HELP)


class _OfConveyor(serializers.Serializer[Any]):
    conveyor = serializers.CharField(max_length=40)


class ReadingBulk(BulkWrite):
    def prepare(self, items: Sequence[dict[str, Any]]) -> None:
        tags = {tag.casefold() for tag in texts_of(items, "conveyor")}
        mine = rows_of_key(Conveyor.objects.all(), self.request).values_list("pk", "tag")
        lock_conveyors({pk for pk, tag in mine if tag.casefold() in tags})

    def conveyor_of(self, item: dict[str, Any]) -> Conveyor:
        named = _OfConveyor(data=item)
        named.is_valid(raise_exception=True)
        plant = key_of(self.request).plant
        try:
            return conveyor_called(named.validated_data["conveyor"], plant, may_be_retired=True)
        except serializers.ValidationError as refusal:
            raise serializers.ValidationError({"conveyor": refusal.detail}) from refusal


class MeterReadingBulk(ReadingBulk):
    scopes = {"POST": ApiKey.Scope.METERS_WRITE}
    queryset = MeterReading.objects.all()
    serializer_class = MeterReadingDetail

    @bulk_schema(
        "meter_readings_send_many",
        "Send meter readings of several conveyors",
        "They are taken in the order in which they stand.",
        item=MeterReadingItem,
        record=MeterReadingDetail,
        tag="meter readings",
        examples=[_example(SENT_METER), _answered(KEPT_METER)],
    )
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return super().post(request, *args, **kwargs)

    def do_one(self, item: dict[str, Any]) -> Done:
        reading, is_new = keep_meter(
            self.conveyor_of(item), MeterReadingItem(data=item), key_of(self.request)
        )
        return Done(MeterReadingDetail(reading).data, status_of(is_new=is_new))


class ConditionReadingBulk(ReadingBulk):
    scopes = {"POST": ApiKey.Scope.READINGS_WRITE}
    queryset = ConditionReading.objects.all()
    serializer_class = ConditionDetail

    @bulk_schema(
        "condition_readings_send_many",
        "Send condition readings of several conveyors",
        "They are taken in the order in which they stand.",
        item=ConditionReadingItem,
        record=ConditionDetail,
        tag="condition readings",
        examples=[_example(SENT_CONDITION), _answered(KEPT_CONDITION)],
    )
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return super().post(request, *args, **kwargs)

    def do_one(self, item: dict[str, Any]) -> Done:
        reading, is_new = keep_condition(
            self.conveyor_of(item), ConditionReadingItem(data=item), key_of(self.request)
        )
        return Done(ConditionDetail(reading).data, status_of(is_new=is_new))


def status_of(*, is_new: bool) -> HTTPStatus:
    return HTTPStatus.CREATED if is_new else HTTPStatus.OK
