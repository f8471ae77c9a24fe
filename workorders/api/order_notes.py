"""/api/v1/work-orders/<number>/notes: what was written on an order."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_serializer, extend_schema_view
from rest_framework import serializers, status
from rest_framework.generics import ListAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.bodies import Body
from plant.api.times import UtcTime
from plant.api.words import TextOrNull
from plant.models import ApiKey
from workorders.api import order_examples as examples
from workorders.api.rows_of_order import NUMBER, RowsOfAnOrder
from workorders.models import OrderNote
from workorders.services import doing

_ROWS = OrderNote.objects.select_related("order__conveyor__plant", "by")


@extend_schema_serializer(examples=[examples.NOTE_KEPT])
class NoteDetail(serializers.ModelSerializer[OrderNote]):
    plant = serializers.CharField(source="order.conveyor.plant.code")
    order = serializers.CharField(source="order.number")
    at = UtcTime()
    by = TextOrNull(source="who", help_text="A person or a key's system; null for the site.")
    corrected_at = UtcTime(allow_null=True)
    withdrawn_at = UtcTime(source="taken_back_at", allow_null=True)

    class Meta:
        model = OrderNote
        fields = list(examples.NOTE)
        read_only_fields = fields


@extend_schema_serializer(examples=[examples.NOTE_SENT])
class NoteSent(Body):
    words = serializers.CharField(max_length=2000)


@extend_schema_view(
    get=extend_schema(
        operation_id="work_order_notes_list",
        summary="Notes on a work order, newest first",
        description="Those taken back are among them, with `withdrawn_at`.",
        parameters=[NUMBER],
        tags=["work orders"],
    )
)
class NoteList(RowsOfAnOrder, ListAPIView[OrderNote]):
    scopes = {"GET": ApiKey.Scope.WORK_ORDERS_READ, "POST": ApiKey.Scope.WORK_ORDERS_WRITE}
    worded = "note"
    queryset = _ROWS
    serializer_class = NoteDetail
    newest_by = "at"

    @extend_schema(
        operation_id="work_order_notes_add",
        summary="Leave a note on a work order",
        description="In any state of it. Sent twice it stands there twice, unless both have the "
        "same Idempotency-Key.",
        parameters=[NUMBER],
        request=NoteSent,
        responses={201: NoteDetail},
        tags=["work orders"],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        order = self.order()
        asked = NoteSent(data=request.data)
        asked.is_valid(raise_exception=True)
        note = doing.add_note(
            order_id=order.pk,
            words=asked.validated_data["words"],
            by=None,
            now=timezone.now(),
        )
        return Response(NoteDetail(_ROWS.get(pk=note.pk)).data, status=status.HTTP_201_CREATED)
