"""/api/v1/meter-readings/bulk and /api/v1/condition-readings/bulk: of several conveyors at once."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from drf_spectacular.utils import extend_schema_view
from rest_framework import serializers

from plant.api.bulk import BulkWrite, Done, bulk_schema
from plant.api.condition_readings import keep_condition
from plant.api.condition_serializers import (
    KEPT_CONDITION,
    SENT_CONDITION,
    ConditionDetail,
    ConditionSent,
)
from plant.api.keys import key_of
from plant.api.meter_readings import keep_meter
from plant.api.meter_serializers import KEPT_METER, SENT_METER, MeterReadingDetail, ReadingSent
from plant.api.naming import conveyor_called, conveyors_named
from plant.models import ApiKey, ConditionReading, Conveyor, MeterReading
from plant.services.conveyor_lock import lock_conveyors

_HELP = "Tag of the conveyor it was read on."


class MeterReadingItem(ReadingSent):
    conveyor = serializers.CharField(max_length=40, help_text=_HELP)


class ConditionReadingItem(ConditionSent):
    conveyor = serializers.CharField(max_length=40, help_text=_HELP)


class _OfConveyor(serializers.Serializer[Any]):
    conveyor = serializers.CharField(max_length=40)


class ReadingBulk(BulkWrite):
    def prepare(self, items: Sequence[dict[str, Any]]) -> None:
        lock_conveyors(conveyors_named(items, self.request))

    def conveyor_of(self, item: dict[str, Any]) -> Conveyor:
        named = _OfConveyor(data=item)
        named.is_valid(raise_exception=True)
        plant = key_of(self.request).plant
        try:
            return conveyor_called(named.validated_data["conveyor"], plant, may_be_retired=True)
        except serializers.ValidationError as refusal:
            raise serializers.ValidationError({"conveyor": refusal.detail}) from refusal


@extend_schema_view(
    post=bulk_schema(
        "meter_readings_bulk",
        "Send meter readings of several conveyors",
        "They are taken in the order in which they stand.",
        item=MeterReadingItem,
        record=MeterReadingDetail,
        tag="meter readings",
        items=[{"conveyor": "Q30", **SENT_METER}],
        shown=KEPT_METER,
    )
)
class MeterReadingBulk(ReadingBulk):
    scopes = {"POST": ApiKey.Scope.METERS_WRITE}
    queryset = MeterReading.objects.all()
    serializer_class = MeterReadingDetail

    def do_one(self, item: dict[str, Any]) -> Done:
        reading, is_new = keep_meter(
            self.conveyor_of(item), MeterReadingItem(data=item), key_of(self.request)
        )
        return Done(MeterReadingDetail(reading).data, status_of(is_new=is_new))


@extend_schema_view(
    post=bulk_schema(
        "condition_readings_bulk",
        "Send condition readings of several conveyors",
        "They are taken in the order in which they stand.",
        item=ConditionReadingItem,
        record=ConditionDetail,
        tag="condition readings",
        items=[{"conveyor": "Q30", **SENT_CONDITION}],
        shown=KEPT_CONDITION,
    )
)
class ConditionReadingBulk(ReadingBulk):
    scopes = {"POST": ApiKey.Scope.READINGS_WRITE}
    queryset = ConditionReading.objects.all()
    serializer_class = ConditionDetail

    def do_one(self, item: dict[str, Any]) -> Done:
        reading, is_new = keep_condition(
            self.conveyor_of(item), ConditionReadingItem(data=item), key_of(self.request)
        )
        return Done(ConditionDetail(reading).data, status_of(is_new=is_new))


def status_of(*, is_new: bool) -> HTTPStatus:
    return HTTPStatus.CREATED if is_new else HTTPStatus.OK
