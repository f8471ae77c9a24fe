"""/api/v1/conveyors/{tag}/history."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from drf_spectacular.utils import (
    OpenApiExample,
    OpenApiParameter,
    extend_schema,
    extend_schema_field,
    extend_schema_serializer,
)
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.paging import COUNT, NewestFirst
from plant.api.rows import TAG, RowsOfTheKey, conveyor_of_key
from plant.api.times import UtcTime
from plant.models import ApiKey, Conveyor
from plant.models.register_changes import ADDED, BEGAN, CHANGED, REMOVED
from plant.selectors.change_words import KINDS, FieldChange
from plant.selectors.register_history import Change, RegisterHistory, Wanted

_KINDS = [kind.code for kind in KINDS]
_VALUE: dict[str, Any] = {
    "type": ["string", "number", "boolean", "array", "null"],
    "items": {"type": "string"},
}
_CHANGE = OpenApiExample(
    "A change of the register",
    value={
        "id": 37689,
        "at": "2026-11-17T03:12:40.118000Z",
        "who": "Odile Brannock",
        "by": "person",
        "of": "component",
        "row": 4711,
        "name": "C",
        "what": "changed",
        "fields": [{"field": "spacing_m", "unit": "m", "old": 1.2, "new": 1.5}],
    },
    response_only=True,
)


class ChangedField(serializers.Serializer[Any]):
    field = serializers.CharField()
    unit = serializers.CharField(help_text="Of old and new; empty where there is none.")
    old = serializers.SerializerMethodField()
    new = serializers.SerializerMethodField()

    @extend_schema_field(_VALUE)
    def get_old(self, one: FieldChange) -> Any:
        return _plain(one.old)

    @extend_schema_field(_VALUE)
    def get_new(self, one: FieldChange) -> Any:
        return _plain(one.new)


@extend_schema_serializer(examples=[_CHANGE])
class RegisterChange(serializers.Serializer[Any]):
    id = serializers.IntegerField(source="key")
    at = UtcTime()
    who = serializers.CharField(
        allow_null=True, help_text="Name of the person or key; null for the system itself."
    )
    by = serializers.SerializerMethodField()
    of = serializers.ChoiceField(choices=_KINDS, source="kind.code")
    row = serializers.IntegerField(source="row_pk")
    name = serializers.CharField(help_text="What the row was called by this change.")
    what = serializers.ChoiceField(
        choices=[ADDED, CHANGED, REMOVED, BEGAN],
        help_text="`began`: the row was there before its changes were kept.",
    )
    fields_ = ChangedField(many=True)

    def get_fields(self) -> dict[str, Any]:
        # `fields` is a serializer's own word.
        found = super().get_fields()
        return {name.rstrip("_"): field for name, field in found.items()}

    @extend_schema_field(serializers.ChoiceField(choices=["person", "key", "system"]))
    def get_by(self, change: Change) -> str:
        if change.by_key:
            return "key"
        return "person" if change.who else "system"

    def to_representation(self, instance: Change) -> dict[str, Any]:
        told: dict[str, Any] = super().to_representation(instance)
        return {**told, "who": told["who"] or None}


class OfChanges(NewestFirst):
    """The same cursor over changes, which stand in several tables."""

    newest_by = "at"
    # They stand in several tables.
    counts = False
    query_names = NewestFirst.query_names - {COUNT}

    def rows_after(
        self, queryset: RegisterHistory, seen: tuple[datetime, int] | None, most: int
    ) -> list[Change]:
        return queryset.after(seen, most)


class ConveyorHistory(RowsOfTheKey):
    scopes = {"GET": ApiKey.Scope.REGISTER_READ}
    queryset = Conveyor.objects.all()
    serializer_class = RegisterChange
    pagination_class = OfChanges
    lookup_field = "tag"
    newest_by = "at"
    query_names = frozenset({"of", "name", *OfChanges.query_names})

    @extend_schema(
        operation_id="conveyor_history",
        summary="What was changed in the register of a conveyor, newest first",
        description=(
            "Conveyor, components, belts, splices and belt marks; who, when, old and new. Changes "
            "of one row in one transaction are one change."
        ),
        parameters=[
            TAG,
            OpenApiParameter("of", str, enum=_KINDS, description="Changes of one kind of rows."),
            OpenApiParameter(
                "name", str, description="Of rows whose name held this once, whatever the case."
            ),
        ],
        responses=RegisterChange(many=True),
        tags=["register"],
    )
    def get(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        history = RegisterHistory(self.get_object(), _wanted(request))
        page = self.paginate_queryset(history)  # type: ignore[arg-type]
        return self.get_paginated_response(RegisterChange(page, many=True).data)

    def find_object(self) -> Conveyor:
        return conveyor_of_key(self.request, self.kwargs["tag"])


def _wanted(request: Request) -> Wanted:
    of, name = (request.query_params.get(one, "") for one in ("of", "name"))
    if of and of not in _KINDS:
        raise ValidationError({"of": f"Give one of {', '.join(_KINDS)}."}, code="invalid_choice")
    if "\x00" in name or len(name) > 60:
        raise ValidationError({"name": "Give up to 60 letters."}, code="invalid_name")
    return Wanted(of, name.strip())


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return float(value)
    return value.isoformat() if isinstance(value, date) else value
