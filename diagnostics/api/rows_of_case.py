"""Rows of the case whose number stands in the address."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from drf_spectacular.utils import OpenApiExample, OpenApiParameter
from rest_framework.request import Request

from diagnostics.models import Case
from plant.api.keys import rows_of_key
from plant.api.rows import RowsOfTheKey

NUMBER = OpenApiParameter(
    "number",
    str,
    "path",
    description="Of the case, as people read it.",
    examples=[OpenApiExample("A case of the demo plant", value="LT-C-0089")],
)


class RowsOfACase(RowsOfTheKey):
    """`case_path` leads from a row to its case."""

    case_path = "case"

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        rows = queryset.filter(**{self.case_path: self.case()})
        return super().filter_queryset(rows)

    def case(self) -> Case:
        return case_of_key(self.request, self.kwargs["number"])


def case_of_key(request: Request, number: str) -> Case:
    """The case of this number; another plant's is not there."""
    mine = rows_of_key(Case.objects.select_related("conveyor__plant", "repeat_of"), request)
    # A text no column can hold names no row.
    found = None if "\x00" in number else mine.filter(number=number).first()
    if found is None:
        raise Http404
    return found
