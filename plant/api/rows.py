"""What every resource shares: it shows the rows of the asking key's plant and no others."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request

from plant.api.keys import rows_of_key
from plant.models import Conveyor


class RowsOfTheKey(GenericAPIView):
    """`scopes` names, for each method, the scope it needs; see plant/api/keys.py."""

    scopes: dict[str, str] = {}
    request: Request

    def get_queryset(self) -> QuerySet[Any]:
        rows: QuerySet[Any] = super().get_queryset()
        if getattr(self, "swagger_fake_view", False):
            # The description of the API is made without anybody asking.
            return rows.none()
        return rows_of_key(rows, self.request)


def conveyor_of_key(request: Request, tag: str) -> Conveyor:
    """The conveyor with this tag, whatever its letters' case; another plant's is not there."""
    if "\x00" in tag:
        raise Http404
    mine = rows_of_key(Conveyor.objects.all(), request)
    found = mine.filter(tag__iexact=tag).first()
    if found is None:
        raise Http404
    return found
