"""Rows of the order whose number stands in the address."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request

from plant.api.keys import rows_of_key
from plant.api.rows import RowsOfTheKey
from workorders.api.examples import NUMBERS
from workorders.models import WorkOrder

NUMBER = OpenApiParameter(
    "number",
    str,
    "path",
    description="Of the order, as people read it.",
    examples=NUMBERS,
)


class RowsOfAnOrder(RowsOfTheKey):
    lookup_field = "order__number"
    lookup_url_kwarg = "number"

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        return super().filter_queryset(queryset.filter(order=self.order()))

    def order(self) -> WorkOrder:
        return order_of_key(self.request, self.kwargs["number"])


def order_of_key(request: Request, number: str) -> WorkOrder:
    """The order of this number; another plant's is not there."""
    rows = WorkOrder.objects.select_related("conveyor__plant")
    mine = rows_of_key(rows, request)
    # A text no column can hold names no row.
    found = None if "\x00" in number else mine.filter(number=number).first()
    if found is None:
        raise Http404
    return found
