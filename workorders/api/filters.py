"""How a list of work orders can be narrowed."""

from django.db.models import QuerySet
from django.utils import timezone
from django_filters import rest_framework as filters
from drf_spectacular.drainage import set_override

from plant.api.filters import ChangedSince, Words, of_conveyor, of_plant
from plant.loop.vocabulary import Zone
from workorders.models import WorkOrder
from workorders.order_states import OrderState, Waiting
from workorders.selectors import backlog
from workorders.urgency import Urgency


class Overdue(filters.ChoiceFilter):
    """`yes`: open although the due day is over at the plant; `no`: all others."""

    def __init__(self) -> None:
        label = (
            "`yes`: open although its due day is over, by the calendar of the plant's own time "
            "zone (not UTC); `no`: all others."
        )
        super().__init__(label=label, choices=[("yes", "yes"), ("no", "no")])
        set_override(self, "field", {"type": "string", "enum": ["yes", "no"], "description": label})

    def filter(self, qs: QuerySet[WorkOrder], value: str) -> QuerySet[WorkOrder]:
        if not value:
            return qs
        late = backlog.overdue(WorkOrder.objects.all(), timezone.now()).order_by().values("pk")
        return qs.filter(pk__in=late) if value == "yes" else qs.exclude(pk__in=late)


class OrderFilter(filters.FilterSet):
    state = Words("state", "State.", of=OrderState)
    urgency = Words("urgency", "Urgency.", of=Urgency)
    cause = Words("cause", "Short name of the cause it is to mend.")
    plant = of_plant("conveyor__plant__code")
    conveyor = of_conveyor()
    zone = Words("zone", "Zone of the loop.", of=Zone)
    case = Words("case__number", "Number of its case.")
    waiting_for = Words("waiting_for", "What it waits for.", of=Waiting)
    external_number = Words("external_number", "Number in the other system.")
    overdue = Overdue()
    changed_since = ChangedSince()

    class Meta:
        model = WorkOrder
        fields: list[str] = []
