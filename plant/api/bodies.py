"""What a body may hold: the fields of its description and no others.

A misspelt field that changed nothing would be believed to have been taken, as a misspelt filter
would; see plant/api/asking.py.
"""

from collections.abc import Mapping
from typing import Any

from drf_spectacular.extensions import OpenApiSerializerExtension
from rest_framework import serializers
from rest_framework.fields import empty
from rest_framework.utils.html import is_html_input

from plant.api.asking import unknown_name

_MOST_NAMED = 5


class Body(serializers.Serializer[Any]):
    """The base of all that other systems send."""

    def __init__(self, instance: Any = None, data: Any = empty, **options: Any) -> None:
        # An empty body that is called a form would say false wherever a box could be ticked.
        super().__init__(instance, data={} if is_html_input(data) else data, **options)

    def to_internal_value(self, data: Any) -> dict[str, Any]:
        if isinstance(data, Mapping):
            self._check_names(data)
        found: dict[str, Any] = super().to_internal_value(data)
        return found

    def _check_names(self, data: Mapping[str, Any]) -> None:
        known = list(self.fields)
        strange = [name for name in data if name not in self.fields][:_MOST_NAMED]
        if strange:
            told = {name[:60]: unknown_name(name, "unknown_field", known) for name in strange}
            raise serializers.ValidationError(told)


class HoldsNothingElse(OpenApiSerializerExtension):
    target_class = Body
    match_subclasses = True

    def map_serializer(self, auto_schema: Any, direction: Any) -> dict[str, Any]:
        schema: dict[str, Any] = auto_schema._map_serializer(
            self.target, direction, bypass_extensions=True
        )
        return {**schema, "additionalProperties": False}
