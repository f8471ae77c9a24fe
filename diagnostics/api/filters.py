"""How a list of complaints can be narrowed."""

from django_filters import rest_framework as filters

from diagnostics.models import Complaint
from plant.api.times import InstantFilter


class ComplaintFilter(filters.FilterSet):
    conveyor = filters.CharFilter(
        field_name="conveyor__tag", lookup_expr="iexact", label="Tag of the conveyor."
    )
    case = filters.CharFilter(field_name="case__number", label="Number of the case.")
    external_number = filters.CharFilter(label="Number in the other system.")
    changed_since = InstantFilter(
        field_name="changed_at",
        lookup_expr="gte",
        label="Changed at or after this instant (ISO 8601, UTC unless it says otherwise).",
    )

    class Meta:
        model = Complaint
        fields: list[str] = []
