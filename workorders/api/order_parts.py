"""/api/v1/work-orders/<number>/parts: parts an order needs and has used."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_serializer, extend_schema_view
from rest_framework import serializers
from rest_framework.generics import ListAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.bodies import Body
from plant.api.naming import fields_called
from plant.api.paging import OldestKeyFirst
from plant.models import ApiKey, Plant
from workorders.api import order_examples as examples
from workorders.api.rows_of_order import NUMBER, RowsOfAnOrder
from workorders.api.written_fields import figure
from workorders.models import OrderPart, Part
from workorders.services import order_parts

_WAYS = {"used": order_parts.book_used, "put_back": order_parts.take_back_used}
_ROWS = OrderPart.objects.select_related("order__conveyor__plant", "part")


@extend_schema_serializer(examples=[examples.PART_KEPT])
class OrderPartDetail(serializers.ModelSerializer[OrderPart]):
    plant = serializers.CharField(source="order.conveyor.plant.code")
    order = serializers.CharField(source="order.number")
    part = serializers.CharField(source="part.number")
    name = serializers.CharField(source="part.name")
    unit = serializers.ChoiceField(source="part.unit", choices=Part.Unit.values)
    needed = serializers.FloatField(
        source="amount", help_text="Reserved for it while the order is open."
    )
    used = serializers.FloatField()
    on_hand = serializers.FloatField(source="part.on_hand", help_text="In the store now.")

    class Meta:
        model = OrderPart
        fields = list(examples.PART)
        read_only_fields = fields


@extend_schema_serializer(examples=[examples.PART_SENT, examples.PART_BACK])
class PartSent(Body):
    """`used` or `put_back`, in the unit of the part. Needs the key's plant as `plant`."""

    part = serializers.CharField(max_length=40, help_text="Its number in the catalogue.")
    used = figure(
        8, allow_null=True, default=None, help_text="So many more were fitted, out of the store."
    )
    put_back = figure(
        8, allow_null=True, default=None, help_text="So many were not fitted after all."
    )

    def __init__(self, *args: Any, plant: Plant | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._plant = plant

    def validate_part(self, number: str) -> Part:
        found = Part.objects.filter(plant=self._plant, number__iexact=number).first()
        if found is None:
            raise serializers.ValidationError(
                f"The catalogue has no part {number}.", code="unknown_part"
            )
        return found

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if (attrs["used"] is None) == (attrs["put_back"] is None):
            raise serializers.ValidationError(
                {"used": "Give either used or put_back."}, code="used_or_put_back"
            )
        return attrs


@extend_schema_view(
    get=extend_schema(
        operation_id="work_order_parts_list",
        summary="Parts of a work order",
        description="What it needs and what it has used, in the order in which they were put on.",
        parameters=[NUMBER],
        tags=["work orders"],
    )
)
class PartList(RowsOfAnOrder, ListAPIView[OrderPart]):
    scopes = {"GET": ApiKey.Scope.WORK_ORDERS_READ, "POST": ApiKey.Scope.WORK_ORDERS_WRITE}
    worded = "order_part"
    queryset = _ROWS
    serializer_class = OrderPartDetail
    pagination_class = OldestKeyFirst

    @extend_schema(
        operation_id="work_order_parts_book",
        summary="Book a part on a work order, or put it back",
        description=(
            "While the work is in hand, or done (409 `order_takes_no_parts` else); whether or not "
            "the order asked for the part. The number on hand follows. Refused with 409 also when "
            "fewer are here (`not_so_many_parts_here`) or fewer are booked "
            "(`not_so_many_parts_used`). Sent twice it is booked twice, unless both have the same "
            "Idempotency-Key."
        ),
        parameters=[NUMBER],
        request=PartSent,
        responses={200: OrderPartDetail},
        tags=["work orders"],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        order = self.order()
        asked = PartSent(data=request.data, plant=order.conveyor.plant)
        asked.is_valid(raise_exception=True)
        filled = asked.validated_data
        way = "put_back" if filled["used"] is None else "used"
        with fields_called({"amount": way}):
            line = _WAYS[way](
                order_id=order.pk,
                part_id=filled["part"].pk,
                amount=filled[way],
                by=None,
                now=timezone.now(),
            )
        return Response(OrderPartDetail(_ROWS.get(pk=line.pk)).data)
