"""/api/v1/work-orders."""

from django_filters.rest_framework import DjangoFilterBackend
from drf_spectacular.utils import (
    OpenApiParameter,
    extend_schema,
    extend_schema_view,
)
from rest_framework.generics import ListAPIView, RetrieveAPIView

from plant.models import ApiKey
from workorders.api.examples import NUMBERS
from workorders.api.filters import OrderFilter
from workorders.api.order_writing import ChangesAnOrder, RaisesOrders
from workorders.api.serializers import OrderDetail, OrderSummary
from workorders.models import WorkOrder


@extend_schema_view(
    get=extend_schema(
        operation_id="work_orders_list",
        summary="Work orders, newest first",
        description="Those of the plant of the key, in the order in which they were raised.",
        tags=["work orders"],
    )
)
class WorkOrderList(RaisesOrders, ListAPIView[WorkOrder]):
    scopes = {"GET": ApiKey.Scope.WORK_ORDERS_READ, "POST": ApiKey.Scope.WORK_ORDERS_WRITE}
    queryset = WorkOrder.objects.select_related(
        "conveyor__plant", "case", "window", "crew", "merged_into", "split_from"
    )
    serializer_class = OrderSummary
    filter_backends = [DjangoFilterBackend]
    filterset_class = OrderFilter
    newest_by = "raised_at"


@extend_schema_view(
    get=extend_schema(
        operation_id="work_orders_one",
        summary="One work order",
        description="With its steps, cautions, moves and proof runs.",
        parameters=[
            OpenApiParameter(
                "number",
                str,
                "path",
                description="As people read it.",
                examples=NUMBERS,
            )
        ],
        tags=["work orders"],
    )
)
class WorkOrderOne(ChangesAnOrder, RetrieveAPIView[WorkOrder]):
    scopes = {"GET": ApiKey.Scope.WORK_ORDERS_READ, "PATCH": ApiKey.Scope.WORK_ORDERS_WRITE}
    queryset = WorkOrder.objects.select_related(
        "conveyor__plant", "case", "window", "crew", "merged_into", "split_from"
    ).prefetch_related("steps", "moves__by", "proof_runs", "waits_for__after")
    serializer_class = OrderDetail
    lookup_field = "number"
