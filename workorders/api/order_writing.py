"""Writing orders: raised by hand, changed, moved, several at once."""

from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_serializer, extend_schema_view
from rest_framework import serializers, status
from rest_framework.generics import ListAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.bulk import BulkWrite, Done, bulk_schema
from plant.api.etags import PreconditionRequired, expected_version
from plant.api.keys import key_of, rows_of_key
from plant.api.naming import fields_called, texts_of
from plant.api.read_schema import IF_MATCH_HEADER
from plant.api.rows import RowsOfTheKey
from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord
from plant.models import ApiKey
from workorders.api import order_examples as examples
from workorders.api.examples import SUMMARY
from workorders.api.order_bodies import OrderChanged, OrderMoved, OrderRaised, OrderWritten
from workorders.api.rows_of_order import NUMBER, RowsOfAnOrder, order_of_key
from workorders.api.serializers import OrderDetail, OrderSummary
from workorders.models import OrderMove, WorkOrder
from workorders.order_states import OrderState
from workorders.services import changing, locking, raising_by_hand
from workorders.services.changing import OrderAsked

_WRITE = ApiKey.Scope.WORK_ORDERS_WRITE
_TAG = "work orders"
_SHOWN = WorkOrder.objects.select_related(
    "conveyor__plant", "case", "window", "crew", "merged_into", "split_from"
)


def detail(order: WorkOrder) -> Any:
    """As it stands now, with all that belongs to it."""
    rows = _SHOWN.prefetch_related("steps", "moves__by", "proof_runs", "waits_for__after")
    return OrderDetail(rows.get(pk=order.pk)).data


class RaisesOrders(RowsOfTheKey):
    """The POST of the list of orders."""

    @extend_schema(
        operation_id="work_orders_raise",
        summary="Raise a work order by hand",
        description=(
            "Proposed, without a case, with the cautions of its work method; as on the page for "
            "work by hand. Refused with 409: `unknown_place` for a component or position the "
            "conveyor does not have, `urgency_needs_reason`."
        ),
        request=OrderRaised,
        responses={201: OrderDetail},
        tags=[_TAG],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        asked = OrderRaised(data=request.data, plant=key_of(request).plant)
        asked.is_valid(raise_exception=True)
        with fields_called({"position_m": "loop_position_m"}):
            order = raising_by_hand.raise_by_hand(
                conveyor=asked.validated_data["conveyor"],
                wanted=asked.wanted(),
                by=None,
                now=timezone.now(),
            )
        address = reverse("api-work-order", args=[order.number])
        return Response(
            detail(order), status=status.HTTP_201_CREATED, headers={"Location": address}
        )


class ChangesAnOrder(RowsOfTheKey):
    """The PATCH of one order."""

    @extend_schema(
        operation_id="work_orders_change",
        summary="Change a work order",
        description=(
            "All that is sent or nothing. Refused with 409 as on the page: `order_is_not_open` for "
            "all but `external_number` once it has ended, `urgency_needs_reason`, "
            "`move_needs_reason` and `schedule_needs_time` for another time, "
            "`waiting_needs_reason`, `days_contradict`. States are moved under `/moves`."
        ),
        parameters=[NUMBER, IF_MATCH_HEADER],
        request=OrderChanged,
        responses=OrderDetail,
        tags=[_TAG],
    )
    def patch(self, request: Request, *_args: Any, **kwargs: Any) -> Response:
        order = order_of_key(request, kwargs["number"])
        version = expected_version(request, order.version)
        asked = OrderChanged(data=request.data)
        asked.is_valid(raise_exception=True)
        return Response(_changed(order, asked.asked(), version))


@extend_schema_serializer(examples=[examples.MOVE_KEPT])
class MoveDetail(serializers.ModelSerializer[OrderMove]):
    plant = serializers.CharField(source="order.conveyor.plant.code")
    order = serializers.CharField(source="order.number")
    from_state = WireWord(OrderState, allow_null=True)
    to_state = WireWord(OrderState)
    planned_for = UtcTime(allow_null=True, help_text="Of a move to `scheduled`.")
    at = UtcTime()
    by = TextOrNull(source="who", help_text="A person or a key's system; null for the site.")
    why = TextOrNull()

    class Meta:
        model = OrderMove
        fields = list(examples.MOVED)
        read_only_fields = fields


@extend_schema_view(
    get=extend_schema(
        operation_id="work_order_moves_list",
        summary="Moves of a work order between its states, newest first",
        description="Who moved it, when and why.",
        parameters=[NUMBER],
        tags=[_TAG],
    )
)
class MoveList(RowsOfAnOrder, ListAPIView[OrderMove]):
    scopes = {"GET": ApiKey.Scope.WORK_ORDERS_READ, "POST": _WRITE}
    queryset = OrderMove.objects.select_related("order__conveyor__plant", "by")
    serializer_class = MoveDetail
    newest_by = "at"

    @extend_schema(
        operation_id="work_order_moves_make",
        summary="Move a work order to another state",
        description=(
            "One legal move; its case follows. Answers the order as it then stands. Refused with "
            "409: `illegal_order_move`, `move_needs_reason`, `schedule_needs_time`, "
            "`earlier_work_not_done` unless it `begins_early`, `proof_run_needed`: only a passed "
            "proof run proves an order."
        ),
        parameters=[NUMBER, IF_MATCH_HEADER],
        request=OrderMoved,
        responses={200: OrderDetail},
        tags=[_TAG],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        order = self.order()
        version = expected_version(request, order.version)
        asked = OrderMoved(data=request.data)
        asked.is_valid(raise_exception=True)
        return Response(_changed(order, OrderAsked(move=asked.asked()), version))

    def present_record(self) -> Any:
        return detail(self.order())


@extend_schema_view(
    post=bulk_schema(
        "work_orders_bulk",
        "Change and move several work orders",
        "Each item names its order and the `version` that was read.",
        item=OrderWritten,
        record=OrderSummary,
        tag=_TAG,
        items=[examples.BULK_ITEM.value],
        shown=SUMMARY.value,
    )
)
class OrderBulk(BulkWrite):
    scopes = {"POST": _WRITE}
    queryset = _SHOWN
    serializer_class = OrderSummary

    def prepare(self, items: Sequence[dict[str, Any]]) -> None:
        numbers = texts_of(items, "number")
        mine = rows_of_key(WorkOrder.objects.filter(number__in=numbers), self.request)
        ids = {pk for pair in mine.values_list("pk", "merged_into") for pk in pair if pk}
        locking.lock_orders(ids)

    def do_one(self, item: dict[str, Any]) -> Done:
        asked = OrderWritten(data=item)
        asked.is_valid(raise_exception=True)
        order = order_of_key(self.request, asked.validated_data["number"])
        version = asked.validated_data["version"]
        if version is None:
            raise PreconditionRequired("Say which state you change: the version that was read.")
        changing.change_order(
            order_id=order.pk, asked=asked.asked(), by=None, now=timezone.now(), version=version
        )
        return Done(OrderSummary(_SHOWN.get(pk=order.pk)).data)

    def record_now(self, item: dict[str, Any]) -> Any:
        # As it was found: people's spaces around a number are none of it.
        order = order_of_key(self.request, item["number"].strip())
        return OrderSummary(_SHOWN.get(pk=order.pk)).data


def _changed(order: WorkOrder, asked: OrderAsked, version: int | None) -> Any:
    changing.change_order(
        order_id=order.pk, asked=asked, by=None, now=timezone.now(), version=version
    )
    return detail(order)
