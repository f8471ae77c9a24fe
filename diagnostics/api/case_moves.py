"""/api/v1/cases/<number>/moves: ending a case without work, opening it again."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers
from rest_framework.generics import ListAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from diagnostics.api.case_serializers import CaseRecord
from diagnostics.api.rows_of_case import NUMBER, RowsOfACase
from diagnostics.case_states import BY_HAND, CaseState
from diagnostics.models import CaseMove
from diagnostics.services import cases
from plant.api.bodies import Body
from plant.api.etags import expected_version
from plant.api.read_schema import IF_MATCH_HEADER
from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord, wire_word
from plant.models import ApiKey

MOVED: dict[str, Any] = {
    "id": 913,
    "plant": "LT",
    "case": "LT-C-0089",
    "from_state": "being_looked_at",
    "to_state": "cancelled",
    "at": "2026-11-18T06:20:11.402000Z",
    "by": "stores system of the terminal",
    "why": "the belt was taken out of service",
}
_ASKED = {"to_state": "cancelled", "why": MOVED["why"]}
# What a person does by a button on the case, and nothing else; in the order of the states.
_BY_HAND = [state for state in CaseState if any(state in ends for ends in BY_HAND.values())]
STATES_BY_HAND = [(wire_word(state), wire_word(state)) for state in _BY_HAND]


@extend_schema_serializer(examples=[OpenApiExample("A move", value=MOVED, response_only=True)])
class CaseMoveDetail(serializers.ModelSerializer[CaseMove]):
    plant = serializers.CharField(source="case.conveyor.plant.code")
    case = serializers.CharField(source="case.number")
    from_state = WireWord(CaseState, allow_null=True)
    to_state = WireWord(CaseState)
    at = UtcTime()
    by = TextOrNull(
        source="who", help_text="The person or the name of the key's system; null for the site."
    )
    why = TextOrNull()

    class Meta:
        model = CaseMove
        fields = list(MOVED)
        read_only_fields = fields


@extend_schema_serializer(
    examples=[OpenApiExample("Cancel a case", value=_ASKED, request_only=True)]
)
class CaseMoveAsked(Body):
    to_state = WireWord(_BY_HAND)
    why = serializers.CharField(
        max_length=400,
        allow_null=True,
        allow_blank=True,
        default=None,
        help_text="Needed where the case ends.",
    )


@extend_schema_view(
    get=extend_schema(
        operation_id="case_moves_list",
        summary="Moves of a case between its states, newest first",
        description="Who moved it, when and why.",
        parameters=[NUMBER],
        tags=["cases"],
    )
)
class CaseMoves(RowsOfACase, ListAPIView[CaseMove]):
    scopes = {"GET": ApiKey.Scope.CASES_READ, "POST": ApiKey.Scope.CASES_WRITE}
    queryset = CaseMove.objects.select_related("case__conveyor__plant", "by")
    serializer_class = CaseMoveDetail
    newest_by = "at"
    lookup_field = "case__number"
    lookup_url_kwarg = "number"

    def present_record(self) -> Any:
        # What is moved is the case.
        return CaseRecord(self.case()).data

    @extend_schema(
        operation_id="case_moves_make",
        summary="End a case without work, or open it again",
        description=(
            "As by the buttons on its page: `not_mistracking` and `cancelled` end it and cancel "
            "the work planned for it (refused with 409 work_is_under_way once hands are on it); "
            "`being_looked_at` and `open` open it again. All other moves follow from accepted "
            "causes, from work and from its proof run and are refused (409 illegal_case_move). "
            "Answers the case as it then stands."
        ),
        parameters=[NUMBER, IF_MATCH_HEADER],
        request=CaseMoveAsked,
        responses={200: CaseRecord},
        tags=["cases"],
    )
    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        case = self.case()
        version = expected_version(request, case.version)
        asked = CaseMoveAsked(data=request.data)
        asked.is_valid(raise_exception=True)
        cases.move_case_by_hand(
            case_id=case.pk,
            to_state=CaseState(asked.validated_data["to_state"]),
            by=None,
            now=timezone.now(),
            why=asked.validated_data["why"] or "",
            version=version,
        )
        return Response(CaseRecord(self.case()).data)
