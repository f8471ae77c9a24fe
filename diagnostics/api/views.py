"""/api/v1/complaints."""

from typing import Any

from django.urls import reverse
from django.utils import timezone
from django_filters.rest_framework import DjangoFilterBackend
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.generics import ListAPIView, RetrieveAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from diagnostics.api.complaint_changes import ComplaintChange
from diagnostics.api.filters import ComplaintFilter
from diagnostics.api.serializers import ComplaintDetail, ComplaintTaken, HandedIn
from diagnostics.models import Complaint
from diagnostics.services import changing_complaints, reporting
from plant.api.etags import expected_version
from plant.api.keys import key_of
from plant.api.read_schema import IF_MATCH_HEADER
from plant.api.rows import ID, RowsOfTheKey
from plant.models import ApiKey

_ROWS = Complaint.objects.select_related("plant", "conveyor", "case")


@extend_schema_view(
    get=extend_schema(
        operation_id="complaints_list",
        summary="Complaints, newest first",
        description="Those of the plant of the key, in the order in which they came in.",
        tags=["complaints"],
    )
)
class ComplaintList(RowsOfTheKey, ListAPIView[Complaint]):
    scopes = {"GET": ApiKey.Scope.COMPLAINTS_READ, "POST": ApiKey.Scope.COMPLAINTS_WRITE}
    queryset = _ROWS
    serializer_class = ComplaintDetail
    filter_backends = [DjangoFilterBackend]
    filterset_class = ComplaintFilter
    newest_by = "received_at"

    @extend_schema(
        operation_id="complaints_hand_in",
        summary="Hand in a complaint",
        description=(
            "It joins the only case that is open on its conveyor, opens one when none is, and is "
            "refused (409 several_open_cases) when it could belong to several. Without a conveyor "
            "it waits for a person to say which belt it is."
        ),
        request=HandedIn,
        responses={201: ComplaintTaken},
        tags=["complaints"],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        complaint, opened_case = taken_complaint(request.data, key_of(request))
        return Response(
            ComplaintTaken(complaint, context={"opened_case": opened_case}).data,
            status=status.HTTP_201_CREATED,
            headers={"Location": reverse("api-complaint", args=[complaint.pk])},
        )


def taken_complaint(sent: Any, key: ApiKey) -> tuple[Complaint, bool]:
    """One that was handed in, and whether it opened a case of its own."""
    asked = HandedIn(data=sent, plant=key.plant)
    asked.is_valid(raise_exception=True)
    return reporting.hand_in_complaint(
        plant=key.plant,
        report=asked.report(key.name),
        now=timezone.now(),
        join_case=asked.validated_data["join_case"] or "",
        is_new_problem=asked.validated_data["new_problem"],
    )


@extend_schema_view(
    get=extend_schema(
        operation_id="complaints_one",
        summary="One complaint",
        description="With the case it belongs to.",
        parameters=[ID],
        tags=["complaints"],
    )
)
class ComplaintOne(RowsOfTheKey, RetrieveAPIView[Complaint]):
    scopes = {"GET": ApiKey.Scope.COMPLAINTS_READ, "PATCH": ApiKey.Scope.COMPLAINTS_WRITE}
    queryset = _ROWS
    serializer_class = ComplaintDetail
    lookup_url_kwarg = "id"

    @extend_schema(
        operation_id="complaints_change",
        summary="Withdraw a complaint, take it elsewhere, number it",
        description=(
            "What is left out stays as it is; several changes are made together or not at all. "
            "A withdrawn complaint cannot be moved (409 complaint_withdrawn) unless it is to "
            "stand again with the same request. Its case stays as it is."
        ),
        parameters=[ID, IF_MATCH_HEADER],
        request=ComplaintChange,
        responses={200: ComplaintDetail},
        tags=["complaints"],
    )
    def patch(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        row = self.get_object()
        version = expected_version(request, row.version)
        asked = ComplaintChange(data=request.data, plant=row.plant)
        asked.is_valid(raise_exception=True)
        changed = changing_complaints.change_complaint(
            complaint_id=row.pk, changes=asked.changes(), version=version, now=timezone.now()
        )
        return Response(ComplaintDetail(changed).data)
