"""/api/v1/work-orders/changes."""

from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers

from plant.api.feed_views import ChangesOf, FeedAnswer, FeedEntry, feed_schema
from plant.models import ApiKey, Feed
from workorders.api import examples
from workorders.api.serializers import OrderSummary

_ANSWER = {
    "next": "d29ya19vcmRlcnN8NDgxNXwxNzk1MDAwMDAwMDAwMDAw",
    "more": False,
    "results": [
        {
            "number": 4815,
            "at": "2026-11-17T20:05:33.204611Z",
            "plant": "LT",
            "kind": "changed",
            "of": "work_order",
            "key": "LT-W-0111",
            "by": "person",
            "who": "Ines Halloway",
            "record": examples.SUMMARY.value,
        }
    ],
}


class OrderFeedEntry(FeedEntry):
    of = serializers.ChoiceField(choices=["work_order"])
    record = OrderSummary()


@extend_schema_serializer(
    examples=[OpenApiExample("An order scheduled", value=_ANSWER, response_only=True)]
)
class OrderChanges(FeedAnswer):
    results = OrderFeedEntry(many=True)


@extend_schema_view(
    get=feed_schema(
        "work_orders_changes",
        "What changed in the work orders, oldest first",
        OrderChanges,
        "work orders",
        "Also when a step was ticked or a note left; the order itself has those.",
    )
)
class OrderFeed(ChangesOf):
    scopes = {"GET": ApiKey.Scope.WORK_ORDERS_READ}
    feed = Feed.WORK_ORDERS
