"""/api/v1/complaints/bulk and /api/v1/findings/bulk."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from drf_spectacular.utils import extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from diagnostics.api import examples
from diagnostics.api.finding_serializers import (
    KEPT_FINDING,
    SENT_FINDING,
    FindingDetail,
    FindingSent,
)
from diagnostics.api.findings import kept_finding
from diagnostics.api.serializers import ComplaintDetail, ComplaintTaken, HandedIn
from diagnostics.api.views import taken_complaint
from diagnostics.models import Case, Complaint, Finding
from diagnostics.services import cases, diagnosing
from plant.api.bulk import BulkWrite, Done, bulk_schema
from plant.api.keys import key_of, rows_of_key
from plant.api.naming import conveyors_named, texts_of
from plant.models import ApiKey
from plant.services.conveyor_lock import lock_conveyors


@extend_schema_view(
    post=bulk_schema(
        "complaints_bulk",
        "Hand in several complaints",
        "They come in in the order in which they stand; a later one joins the case that an "
        "earlier one opened.",
        item=HandedIn,
        record=ComplaintTaken,
        tag="complaints",
        items=[examples.HANDED_IN.value],
        shown=examples.TAKEN.value,
    )
)
class ComplaintBulk(BulkWrite):
    scopes = {"POST": ApiKey.Scope.COMPLAINTS_WRITE}
    queryset = Complaint.objects.all()
    serializer_class = ComplaintDetail

    def prepare(self, items: Sequence[dict[str, Any]]) -> None:
        lock_conveyors(conveyors_named(items, self.request))

    def do_one(self, item: dict[str, Any]) -> Done:
        complaint, opened_case = taken_complaint(item, key_of(self.request))
        told = ComplaintTaken(complaint, context={"opened_case": opened_case}).data
        return Done(told, HTTPStatus.CREATED)


class FindingItem(FindingSent):
    case = serializers.CharField(max_length=24, help_text="Number of the open case it is about.")


class _OfCase(serializers.Serializer[Any]):
    case = serializers.CharField(max_length=24)


@extend_schema_view(
    post=bulk_schema(
        "findings_bulk",
        "Send findings of several cases",
        "The cases are diagnosed anew afterwards, each once.",
        item=FindingItem,
        record=FindingDetail,
        tag="findings",
        items=[{"case": "LT-C-0089", **SENT_FINDING}],
        shown=KEPT_FINDING,
    )
)
class FindingBulk(BulkWrite):
    scopes = {"POST": ApiKey.Scope.CASES_WRITE}
    queryset = Finding.objects.all()
    serializer_class = FindingDetail

    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        # Nobody waits for so many diagnoses; they are owed and soon paid by the worker.
        with diagnosing.nobody_woken():
            return super().post(request, *args, **kwargs)

    def prepare(self, items: Sequence[dict[str, Any]]) -> None:
        numbers = texts_of(items, "case")
        mine = rows_of_key(Case.objects.filter(number__in=numbers), self.request)
        cases.lock_cases(mine.values_list("pk", flat=True))

    def do_one(self, item: dict[str, Any]) -> Done:
        case = self._case_of(item)
        asked = FindingItem(data=item, case=case)
        asked.is_valid(raise_exception=True)
        kept = kept_finding(case, asked.validated_data)
        return Done(FindingDetail(kept).data, HTTPStatus.CREATED)

    def _case_of(self, item: dict[str, Any]) -> Case:
        named = _OfCase(data=item)
        named.is_valid(raise_exception=True)
        number = named.validated_data["case"]
        mine = rows_of_key(Case.objects.select_related("conveyor__plant"), self.request)
        found = mine.filter(number=number).first()
        if found is None:
            told = serializers.ErrorDetail(f"No case {number} is known here.", "unknown_case")
            raise serializers.ValidationError({"case": told})
        return found
