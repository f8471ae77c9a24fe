"""/api/v1/conveyors/<tag>/attachments: the list, and one of them as a file."""

from typing import Any

from django.http import Http404, HttpResponse
from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import (
    OpenApiExample,
    OpenApiParameter,
    OpenApiResponse,
    extend_schema,
    extend_schema_field,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers
from rest_framework.generics import ListAPIView
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.request import Request

from plant.api.rows import TAG, RowsOfAConveyor
from plant.api.times import UtcTime
from plant.handing_out import attachment_answer
from plant.models import ApiKey, Attachment

_ID = OpenApiParameter("id", int, "path", description="As the list gives it.")
_DRAWING = OpenApiExample(
    "A drawing",
    value={
        "id": 311,
        "kind": "document",
        "component": "Take-up",
        "caption": "Take-up frame, general arrangement",
        "file_name": "Q30-TU-001-C.pdf",
        "size_bytes": 812004,
        "sha256": "7d1a54127b222502f5b79b5fb0803061152a44f92b37e23c6527baf665d4da9a",
        "width_px": None,
        "height_px": None,
        "taken_at": None,
        "sent_at": "2026-11-17T03:12:40Z",
        "sent_by": "Odile Brannock",
        "address": "https://loopwright.example/api/v1/conveyors/Q30/attachments/311",
    },
    response_only=True,
)


@extend_schema_serializer(examples=[_DRAWING])
class AttachmentDetail(serializers.Serializer[Attachment]):
    id = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=Attachment.Kind.values)
    component = serializers.SerializerMethodField()
    caption = serializers.CharField()
    file_name = serializers.CharField(help_text="As it was called where it came from.")
    size_bytes = serializers.IntegerField(source="size")
    sha256 = serializers.CharField(
        help_text="Of the file as it was sent; a document is handed out unchanged, a picture not."
    )
    width_px = serializers.IntegerField(source="width", allow_null=True)
    height_px = serializers.IntegerField(source="height", allow_null=True)
    taken_at = UtcTime(allow_null=True, help_text="By the camera's clock; null when not known.")
    sent_at = UtcTime()
    sent_by = serializers.SerializerMethodField()
    address = serializers.SerializerMethodField()

    def get_component(self, row: Attachment) -> str | None:
        """Null for the conveyor as a whole."""
        return (row.component.name if row.component else row.component_name) or None

    def get_sent_by(self, row: Attachment) -> str | None:
        return str(row.sent_by) if row.sent_by else None

    @extend_schema_field(OpenApiTypes.URI)
    def get_address(self, row: Attachment) -> str:
        path = reverse("api-attachment", args=[row.conveyor.tag, row.pk])
        return str(self.context["request"].build_absolute_uri(path))


class _OfConveyor(RowsOfAConveyor):
    scopes = {"GET": ApiKey.Scope.REGISTER_READ}
    queryset = Attachment.objects.standing().select_related("conveyor", "component", "sent_by")
    serializer_class = AttachmentDetail


@extend_schema_view(
    get=extend_schema(
        operation_id="attachments_list",
        summary="Pictures and drawings of a conveyor, newest first",
        description="Those of its components among them; not those taken back.",
        parameters=[TAG],
        tags=["register"],
    )
)
class AttachmentList(_OfConveyor, ListAPIView[Attachment]):
    newest_by = "sent_at"
    lookup_field = "conveyor__tag"


class _AnyType(BaseContentNegotiation):
    """A file comes as what it is, whatever was asked for."""

    def select_parser(self, request: Request, parsers: Any) -> Any:
        return parsers[0]

    def select_renderer(self, request: Request, renderers: Any, format_suffix: Any = None) -> Any:
        return renderers[0], renderers[0].media_type


class AttachmentFile(_OfConveyor):
    content_negotiation_class = _AnyType
    is_sparse = False
    # By the parameters of its address.
    lookup_fields = {"tag": "conveyor__tag"}

    @extend_schema(
        operation_id="attachment_download",
        summary="One picture or drawing",
        description="A JPEG, or the PDF byte for byte as it was sent, as a download.",
        parameters=[TAG, _ID],
        responses={
            (200, "image/jpeg"): OpenApiResponse(OpenApiTypes.BINARY, "A picture."),
            (200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "A drawing."),
        },
        tags=["register"],
    )
    def get(self, request: Request, *_args: Any, **kwargs: Any) -> HttpResponse:
        row = self.filter_queryset(self.get_queryset()).filter(pk=kwargs["id"]).first()
        if row is None:
            raise Http404
        return attachment_answer(row)
