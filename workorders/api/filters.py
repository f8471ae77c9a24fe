"""How a list of work orders can be narrowed."""

from django_filters import rest_framework as filters

from plant.api.filters import ChangedSince, Words, of_conveyor, of_plant
from plant.loop.vocabulary import Zone
from workorders.models import WorkOrder
from workorders.order_states import OrderState, Waiting
from workorders.urgency import Urgency


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
    changed_since = ChangedSince()

    class Meta:
        model = WorkOrder
        fields: list[str] = []
