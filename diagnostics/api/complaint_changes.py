"""What another system may change of a complaint; what is left out stays as it is."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from diagnostics.models import Case
from diagnostics.services.changing_complaints import Changes
from plant.api.bodies import Body
from plant.api.naming import conveyor_called
from plant.models import Conveyor, Plant

_WITHDRAWN = {"withdrawn": True, "withdrawn_why": "the caller meant the other quay"}
_TAKEN_ELSEWHERE = {"conveyor": "Q40", "new_problem": True, "external_number": "10-4471"}


@extend_schema_serializer(
    examples=[
        OpenApiExample("Withdrawn", value=_WITHDRAWN, request_only=True),
        OpenApiExample("It was another belt", value=_TAKEN_ELSEWHERE, request_only=True),
        OpenApiExample("Joins a case", value={"case": "LT-C-0089"}, request_only=True),
    ]
)
class ComplaintChange(Body):
    """Needs the asking key's plant as `plant`."""

    external_number = serializers.CharField(
        max_length=80,
        allow_null=True,
        allow_blank=True,
        required=False,
        help_text="Number in the other system; null for none.",
    )
    withdrawn = serializers.BooleanField(
        required=False, help_text="True withdraws it, with the reason; false lets it stand again."
    )
    withdrawn_why = serializers.CharField(max_length=400, required=False)
    case = serializers.CharField(
        max_length=24,
        required=False,
        help_text="Number of an open case to take it into; its conveyor becomes the case's.",
    )
    conveyor = serializers.CharField(
        max_length=40,
        required=False,
        help_text="Tag of the belt it is about after all; joins or opens a case as when handed in.",
    )
    join_case = serializers.CharField(
        max_length=24, required=False, help_text="With `conveyor`: the open case there to join."
    )
    new_problem = serializers.BooleanField(
        required=False, help_text="With `conveyor`: opens a case of its own although one is open."
    )

    def __init__(self, *args: Any, plant: Plant | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._plant = plant

    def validate_conveyor(self, tag: str) -> Conveyor:
        assert self._plant is not None
        return conveyor_called(tag, self._plant)

    def validate_case(self, number: str) -> Case:
        found = Case.objects.filter(conveyor__plant=self._plant, number=number).first()
        if found is None:
            raise serializers.ValidationError(
                f"No case {number} is known here.", code="unknown_case"
            )
        return found

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        for field, words, code in _wrong_with(attrs):
            raise serializers.ValidationError({field: words}, code=code)
        return attrs

    def changes(self) -> Changes:
        filled = self.validated_data
        number = filled.get("external_number", "absent")
        return Changes(
            external_number=None if "external_number" not in filled else number or "",
            is_withdrawn=filled.get("withdrawn"),
            why=filled.get("withdrawn_why", ""),
            case=filled.get("case"),
            conveyor=filled.get("conveyor"),
            join_case=filled.get("join_case", ""),
            is_new_problem=filled.get("new_problem", False),
        )


def _wrong_with(attrs: dict[str, Any]) -> list[tuple[str, str, str]]:
    """What contradicts itself or is missing: field, words, code; the first is told."""
    is_withdrawn, why = attrs.get("withdrawn"), attrs.get("withdrawn_why")
    goes_elsewhere = "conveyor" in attrs
    told = [
        (not attrs, None, "Say what shall change.", "nothing_to_change"),
        (
            bool(is_withdrawn) and not why,
            "withdrawn_why",
            "Say why the complaint is withdrawn.",
            "required",
        ),
        (
            not is_withdrawn and why is not None,
            "withdrawn_why",
            "Give the reason together with withdrawn: true.",
            "contradiction",
        ),
        (
            "case" in attrs and goes_elsewhere,
            "case",
            "Give either case or conveyor.",
            "contradiction",
        ),
        (
            bool(attrs.get("join_case")) and bool(attrs.get("new_problem")),
            "new_problem",
            "Give either join_case or new_problem.",
            "contradiction",
        ),
    ]
    told += [
        (one in attrs and not goes_elsewhere, one, "This goes with conveyor.", "contradiction")
        for one in ("join_case", "new_problem")
    ]
    whole = "non_field_errors"
    return [(field or whole, words, code) for is_so, field, words, code in told if is_so]
