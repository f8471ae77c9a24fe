"""/api/v1/cases."""

from django.db.models import Prefetch, Q
from django_filters.rest_framework import DjangoFilterBackend
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework.generics import ListAPIView, RetrieveAPIView

from diagnostics.api.case_detail import CaseDetail
from diagnostics.api.case_serializers import CaseRecord
from diagnostics.api.filters import CaseFilter
from diagnostics.api.rows_of_case import NUMBER
from diagnostics.models import Case, Diagnosis, Finding, Hypothesis
from plant.api.rows import RowsOfTheKey
from plant.models import ApiKey

_ROWS = Case.objects.select_related("conveyor__plant", "repeat_of")
_STANDING = Diagnosis.objects.filter(superseded_at__isnull=True).only(
    "case_id", "made_at", "knowledge_version", "pattern", "is_sufficient", "answer"
)
_SUSPECTED = (
    Hypothesis.objects.filter(
        Q(accepted_at__isnull=False)
        | Q(diagnosis__isnull=False, diagnosis__superseded_at__isnull=True)
    )
    .select_related("judged_by")
    .order_by("rank", "pk")
)


@extend_schema_view(
    get=extend_schema(
        operation_id="cases_list",
        summary="Cases, newest first",
        description="Those of the plant of the key, in the order in which they were opened.",
        tags=["cases"],
    )
)
class CaseList(RowsOfTheKey, ListAPIView[Case]):
    scopes = {"GET": ApiKey.Scope.CASES_READ}
    queryset = _ROWS
    serializer_class = CaseRecord
    filter_backends = [DjangoFilterBackend]
    filterset_class = CaseFilter
    newest_by = "opened_at"


@extend_schema_view(
    get=extend_schema(
        operation_id="cases_one",
        summary="One case",
        description=(
            "With the standing diagnosis, the causes it suspects and those a person accepted, each "
            "with place, size, probability and reasons; with its findings, complaints and moves. "
            "Its work orders: `GET /work-orders?case=`."
        ),
        parameters=[NUMBER],
        tags=["cases"],
    )
)
class CaseOne(RowsOfTheKey, RetrieveAPIView[Case]):
    scopes = {"GET": ApiKey.Scope.CASES_READ}
    queryset = _ROWS.prefetch_related(
        Prefetch("diagnoses", _STANDING),
        Prefetch("hypotheses", _SUSPECTED),
        Prefetch("findings", Finding.objects.select_related("component", "found_by")),
        "complaints",
        "moves__by",
    )
    serializer_class = CaseDetail
    lookup_field = "number"
