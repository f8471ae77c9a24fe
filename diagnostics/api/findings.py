"""/api/v1/cases/<number>/findings."""

from typing import Any

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.generics import ListAPIView, RetrieveAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from diagnostics.api.finding_serializers import FindingChange, FindingDetail, FindingSent
from diagnostics.api.rows_of_case import NUMBER, RowsOfACase
from diagnostics.models import Case, Finding
from diagnostics.selectors import suspects
from diagnostics.services import findings
from plant.api.etags import expected_version
from plant.api.read_schema import IF_MATCH_HEADER
from plant.api.rows import ID
from plant.models import ApiKey

_ROWS = Finding.objects.select_related("case__conveyor__plant", "component", "found_by")


@extend_schema_view(
    get=extend_schema(
        operation_id="findings_list",
        summary="Findings of a case, newest first",
        description="Close looks at one cause each, also those that were withdrawn.",
        parameters=[NUMBER],
        tags=["findings"],
    )
)
class FindingList(RowsOfACase, ListAPIView[Finding]):
    scopes = {"GET": ApiKey.Scope.CASES_READ, "POST": ApiKey.Scope.CASES_WRITE}
    queryset = _ROWS
    serializer_class = FindingDetail
    newest_by = "found_at"
    lookup_field = "case__number"
    lookup_url_kwarg = "number"

    @extend_schema(
        operation_id="findings_send",
        summary="Send a finding",
        description=(
            "What a close look at one cause showed. It counts as evidence: the case is diagnosed "
            "anew, and one that was only open is now being looked at. Refused (409 "
            "case_has_ended) once the case has ended. Every finding sent is a look of its own; "
            "send an Idempotency-Key to be able to send it again."
        ),
        parameters=[NUMBER],
        request=FindingSent,
        responses={201: FindingDetail},
        tags=["findings"],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        case = self.case()
        asked = FindingSent(data=request.data, case=case)
        asked.is_valid(raise_exception=True)
        kept = kept_finding(case, asked.validated_data)
        address = reverse("api-finding", args=[case.number, kept.pk])
        return Response(
            FindingDetail(kept).data,
            status=status.HTTP_201_CREATED,
            headers={"Location": address},
        )


def kept_finding(case: Case, filled: dict[str, Any]) -> Finding:
    return findings.record_finding(
        case_id=case.pk,
        cause=filled["cause"],
        is_present=filled["is_present"],
        by=None,
        now=timezone.now(),
        component=suspects.component_at(case.conveyor, filled["place"]),
        place=filled["place"],
        note=filled["note"] or "",
        found_at=filled["found_at"],
    )


@extend_schema_view(
    get=extend_schema(
        operation_id="findings_one",
        summary="One finding",
        description="Also one that was withdrawn.",
        parameters=[NUMBER, ID],
        tags=["findings"],
    )
)
class FindingOne(RowsOfACase, RetrieveAPIView[Finding]):
    scopes = {"GET": ApiKey.Scope.CASES_READ, "PATCH": ApiKey.Scope.CASES_WRITE}
    queryset = _ROWS
    serializer_class = FindingDetail
    lookup_url_kwarg = "id"
    lookup_fields = {"number": "case__number"}

    @extend_schema(
        operation_id="findings_withdraw",
        summary="Withdraw a finding, or let it count again",
        description="The case is diagnosed anew. Asked for what stands already, nothing changes.",
        parameters=[NUMBER, ID, IF_MATCH_HEADER],
        request=FindingChange,
        responses={200: FindingDetail},
        tags=["findings"],
    )
    def patch(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        row = self.get_object()
        version = expected_version(request, row.version)
        asked = FindingChange(data=request.data)
        asked.is_valid(raise_exception=True)
        findings.count_finding(
            finding_id=row.pk,
            case_id=row.case_id,
            counts=not asked.validated_data["withdrawn"],
            now=timezone.now(),
            version=version,
        )
        return Response(FindingDetail(self.get_object()).data)
