"""/api/v1/work-orders/<number>/time: time that people put into an order."""

import uuid
from typing import Any

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import (
    OpenApiExample,
    OpenApiParameter,
    extend_schema,
    extend_schema_field,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers, status
from rest_framework.generics import ListAPIView, RetrieveAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.bodies import Body
from plant.api.etags import expected_version
from plant.api.read_schema import IF_MATCH_HEADER
from plant.api.times import UtcTime
from plant.api.words import TextOrNull
from plant.models import ApiKey
from workorders.api import order_examples as examples
from workorders.api.rows_of_order import NUMBER, RowsOfAnOrder
from workorders.api.written_fields import day, figure, words
from workorders.models import Crew, TimeBooking, WorkOrder
from workorders.models.time_booking import MOST_HOURS
from workorders.selectors import booked_time
from workorders.services import booking_time
from workorders.services.booking_time import Spent, Worker

_READ, _WRITE = ApiKey.Scope.WORK_ORDERS_READ, ApiKey.Scope.WORK_ORDERS_WRITE
_TAG = "work orders"
_ID = OpenApiParameter("id", int, "path", description="As the list gives it.")
_ROWS = TimeBooking.objects.select_related(
    "order__conveyor__plant", "worker", "crew", "step", "booked_by"
)


@extend_schema_serializer(examples=[examples.TIME_KEPT])
class TimeDetail(serializers.ModelSerializer[TimeBooking]):
    plant = serializers.CharField(source="order.conveyor.plant.code")
    order = serializers.CharField(source="order.number")
    worker = serializers.CharField(source="worker_name")
    crew = serializers.CharField(source="crew.name", allow_null=True, default=None)
    hours = serializers.FloatField()
    begins_at = UtcTime(allow_null=True)
    ends_at = UtcTime(allow_null=True)
    step = serializers.IntegerField(source="step.place", allow_null=True, default=None)
    step_words = TextOrNull(help_text="As it was called when the time was booked.")
    note = TextOrNull()
    booked_at = UtcTime()
    booked_by = serializers.SerializerMethodField()
    withdrawn_at = UtcTime(
        source="taken_back_at", allow_null=True, help_text="Since then it counts no more."
    )

    class Meta:
        model = TimeBooking
        fields = list(examples.TIME)
        read_only_fields = fields

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_booked_by(self, row: TimeBooking) -> str | None:
        """A person or a key's system."""
        return (str(row.booked_by) if row.booked_by else row.booked_by_key) or None


@extend_schema_serializer(examples=[examples.TIME_SENT, examples.HOURS_SENT])
class TimeSent(Body):
    """Hours, or from when to when by the plant's clock. Needs the order as `order`."""

    worker = serializers.CharField(
        max_length=150,
        help_text="The e-mail address somebody signs in with here, or a name.",
    )
    day = day(help_text="The plant's day on which the work began.")
    hours = figure(2, max_value=MOST_HOURS, allow_null=True, default=None)
    begins = serializers.TimeField(allow_null=True, default=None)
    ends = serializers.TimeField(
        allow_null=True, default=None, help_text="Not after `begins`: it ended on the next day."
    )
    crew = words(60, help_text="Name of a crew of the plant.")
    step = serializers.IntegerField(
        min_value=1, max_value=32767, allow_null=True, default=None, help_text="Its place."
    )
    note = words(400)

    def __init__(self, *args: Any, order: WorkOrder | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._order = order

    def validate_worker(self, who: str) -> Worker:
        assert self._order is not None
        if "@" not in who:
            return Worker(name=" ".join(who.split()))
        person = booked_time.hands_of(self._order).filter(username__iexact=who).first()
        if person is None:
            raise serializers.ValidationError(
                "Nobody who does or plans work at this plant signs in so. Send a name instead.",
                code="unknown_person",
            )
        return Worker(user=person)

    def validate_crew(self, name: str | None) -> Crew | None:
        assert self._order is not None
        if not name:
            return None
        crews = Crew.objects.filter(plant=self._order.conveyor.plant_id, retired_on=None)
        found = crews.filter(name__iexact=name).first()
        if found is None:
            raise serializers.ValidationError(f"No crew is called {name}.", code="unknown_crew")
        return found

    def validate_step(self, place: int | None) -> Any:
        assert self._order is not None
        if place is None:
            return None
        found = self._order.steps.filter(place=place).first()
        if found is None:
            raise serializers.ValidationError("The order has no such step.", code="unknown_step")
        return found

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        begins, ends, hours = (attrs[name] for name in ("begins", "ends", "hours"))
        if (begins is None) != (ends is None):
            missing = "begins" if begins is None else "ends"
            raise serializers.ValidationError(
                {missing: "Give both times, or the hours alone."}, code="required"
            )
        if (hours is None) == (begins is None):
            raise serializers.ValidationError(
                {"hours": "Give hours, or from when to when."}, code="hours_or_times"
            )
        return attrs

    def spent(self) -> Spent:
        filled = self.validated_data
        names = ("day", "hours", "begins", "ends", "step")
        return Spent(
            crew=filled.get("crew"),
            note=filled.get("note") or "",
            **{name: filled[name] for name in names},
        )


@extend_schema_serializer(
    examples=[OpenApiExample("Counts no more", value={"withdrawn": True}, request_only=True)]
)
class TimeChanged(Body):
    withdrawn = serializers.BooleanField(
        help_text="True: it counts no more, and stays to be read; false: it counts again."
    )


@extend_schema_view(
    get=extend_schema(
        operation_id="work_order_time_list",
        summary="Time booked on a work order, newest first",
        description="What was withdrawn is among it, with `withdrawn_at`.",
        parameters=[NUMBER],
        tags=[_TAG],
    )
)
class TimeList(RowsOfAnOrder, ListAPIView[TimeBooking]):
    scopes = {"GET": _READ, "POST": _WRITE}
    worded = "time"
    queryset = _ROWS
    serializer_class = TimeDetail
    newest_by = "booked_at"

    @extend_schema(
        operation_id="work_order_time_book",
        summary="Book time of one person on a work order",
        description=(
            "Once work is in hand, and after it (409 `no_time_is_booked_yet` before). Refused (409 "
            "`time_refused`, with the field) for days to come and those more than a year ago, and "
            "when somebody would have more than 24 hours on a day. Sent twice it is booked twice, "
            "unless both have the same Idempotency-Key."
        ),
        parameters=[NUMBER],
        request=TimeSent,
        responses={201: TimeDetail},
        tags=[_TAG],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        order = self.order()
        asked = TimeSent(data=request.data, order=order)
        asked.is_valid(raise_exception=True)
        (row,) = booking_time.book_time(
            order_id=order.pk,
            workers=[asked.validated_data["worker"]],
            spent=asked.spent(),
            sent_as=uuid.uuid4(),
            by=None,
            now=timezone.now(),
        )
        address = reverse("api-work-order-time-one", args=[order.number, row.pk])
        return Response(
            TimeDetail(_ROWS.get(pk=row.pk)).data,
            status=status.HTTP_201_CREATED,
            headers={"Location": address},
        )


@extend_schema_view(
    get=extend_schema(
        operation_id="work_order_time_one",
        summary="One booking of time",
        description="Also one that was withdrawn.",
        parameters=[NUMBER, _ID],
        tags=[_TAG],
    )
)
class TimeOne(RowsOfAnOrder, RetrieveAPIView[TimeBooking]):
    scopes = {"GET": _READ, "PATCH": _WRITE}
    worded = "time"
    queryset = _ROWS
    serializer_class = TimeDetail
    lookup_field, lookup_url_kwarg = "pk", "id"
    # By the parameters of its address.
    lookup_fields = {"number": "order__number", "id": "pk"}

    @extend_schema(
        operation_id="work_order_time_withdraw",
        summary="Withdraw a booking of time, or let it count again",
        description="It is never removed; the order's log says what became of it.",
        parameters=[NUMBER, _ID, IF_MATCH_HEADER],
        request=TimeChanged,
        responses=TimeDetail,
        tags=[_TAG],
    )
    def patch(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        row = self.get_object()
        version = expected_version(request, row.version)
        asked = TimeChanged(data=request.data)
        asked.is_valid(raise_exception=True)
        booking_time.let_count(
            booking_id=row.pk,
            order_id=row.order_id,
            counts=not asked.validated_data["withdrawn"],
            by=None,
            now=timezone.now(),
            version=version,
        )
        return Response(TimeDetail(self.get_object()).data)
