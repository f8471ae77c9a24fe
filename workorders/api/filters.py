"""How a list of work orders can be narrowed."""

from django_filters import rest_framework as filters

from plant.api.times import InstantFilter
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.urgency import Urgency


class OrderFilter(filters.FilterSet):
    state = filters.MultipleChoiceFilter(
        choices=[(state.value, state.value) for state in OrderState],
        label="State; may be given several times.",
    )
    urgency = filters.MultipleChoiceFilter(
        choices=[(urgency.value, urgency.value) for urgency in Urgency],
        label="Urgency; may be given several times.",
    )
    conveyor = filters.CharFilter(
        field_name="conveyor__tag", lookup_expr="iexact", label="Tag of the conveyor."
    )
    changed_since = InstantFilter(
        field_name="changed_at",
        lookup_expr="gte",
        label="Changed at or after this instant (ISO 8601, UTC unless it says otherwise).",
    )

    class Meta:
        model = WorkOrder
        fields: list[str] = []
