"""Wire words: snake case, whatever people read; an empty text is null."""

from collections.abc import Iterable
from typing import Any

from rest_framework import serializers

from plant.loop.vocabulary import ComponentKind, Side, Zone
from plant.wire_words import wire_word as wire_word

# Named for the description of the API, where several fields share it.
ZONES = [(wire_word(zone), wire_word(zone)) for zone in Zone]
COMPONENT_KINDS = [(kind.value, kind.value) for kind in ComponentKind]
SIDES = [(wire_word(side), wire_word(side)) for side in Side]


class WireWord(serializers.ChoiceField):
    """One of a closed list, as its wire word; empty is null."""

    def __init__(self, values: Iterable[str], **options: Any) -> None:
        self._value_of = {wire_word(value): value for value in values}
        super().__init__(choices=list(self._value_of), **options)

    def to_representation(self, value: str) -> Any:
        return wire_word(str(value)) if value else None

    def to_internal_value(self, data: Any) -> str:
        return self._value_of[super().to_internal_value(data)]


class TextOrNull(serializers.CharField):
    def __init__(self, **options: Any) -> None:
        super().__init__(allow_null=True, **options)

    def to_representation(self, value: str) -> Any:
        return super().to_representation(value) or None
