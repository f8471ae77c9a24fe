"""What every resource shares: it shows the rows of the asking key's plant and no others."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request

from plant.api.asking import AsksByName
from plant.api.deprecation import TellsDeprecation
from plant.api.idempotency import DoneOnce
from plant.api.keys import rows_of_key
from plant.api.their_words import InTheirWords, wording_in
from plant.models import Conveyor


class RowsOfTheKey(DoneOnce, InTheirWords, AsksByName, TellsDeprecation):
    """`scopes` names, for each method, the scope it needs; see plant/api/keys.py."""

    scopes: dict[str, str] = {}
    request: Request

    def get_queryset(self) -> QuerySet[Any]:
        rows: QuerySet[Any] = super().get_queryset()
        if getattr(self, "swagger_fake_view", False):
            # The description of the API is made without anybody asking.
            return rows.none()
        return rows_of_key(rows, self.request)

    def find_object(self) -> Any:
        """The row of the address."""
        return super().get_object()

    def get_object(self) -> Any:
        row = self.find_object()
        self._row_version = getattr(row, "version", None)
        return row

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        answer = super().finalize_response(request, response, *args, **kwargs)
        data = getattr(answer, "data", None)
        if isinstance(data, dict) and "results" not in data:
            # For its ETag, whichever fields it shows (plant/api/answers.py).
            answer.row_version = getattr(self, "_row_version", None)
        return answer

    def present_record(self) -> Any:
        """The row of the address as it is now, told to whoever changed another state of it."""
        try:
            return self.get_serializer(self.get_object()).data
        except Http404:
            # Removed meanwhile.
            return None


ID = OpenApiParameter("id", int, "path", description="As the list gives it.")
TAG = OpenApiParameter("tag", str, "path", description="Tag of the conveyor, as people read it.")


class RowsOfAConveyor(RowsOfTheKey):
    """Rows of the conveyor whose tag stands in the address; `conveyor_path` leads to it."""

    conveyor_path = "conveyor"
    lookup_url_kwarg = "tag"

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        rows = queryset.filter(**{self.conveyor_path: self.conveyor()})
        return super().filter_queryset(rows)

    def conveyor(self) -> Conveyor:
        return conveyor_of_key(self.request, self.kwargs["tag"])


def conveyor_of_key(request: Request, tag: str) -> Conveyor:
    """The conveyor with this tag, whatever its letters' case; another plant's is not there."""
    if "\x00" in tag:
        raise Http404
    wording = wording_in(request)
    if wording is not None and len(wording.places.get(tag, ())) == 1:
        tag = wording.places[tag][0][0]
    mine = rows_of_key(Conveyor.objects.all(), request)
    found = mine.filter(tag__iexact=tag).first()
    if found is None:
        raise Http404
    return found
