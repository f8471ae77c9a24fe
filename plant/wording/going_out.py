"""Our records into the words of a connected system."""

from typing import TYPE_CHECKING, Any

from plant.wording.refusals import Missed
from plant.wording.shape import Shape

if TYPE_CHECKING:
    from plant.wording.wording import Fields, Wording

# As a source of a copied field: the component's tag, else the conveyor's.
ASSET_TAG = "asset_tag"


class Teller:
    """Walks one record; `missed` gets the words that had no answer."""

    def __init__(self, wording: "Wording", kind: str, missed: set[Missed]) -> None:
        self._wording = wording
        self._shape = wording.shape_of(kind)
        self._fields = wording.fields.get(kind)
        self._missed = missed

    def told(self, value: Any) -> Any:
        return self._value(value, self._shape, "")

    def _value(self, value: Any, shape: Shape, conveyor: str) -> Any:
        if isinstance(value, dict):
            return self._row(value, shape, conveyor)
        if isinstance(value, list):
            return [self._value(one, shape, conveyor) for one in value]
        return value

    def _row(self, row: dict[str, Any], shape: Shape, above: str) -> dict[str, Any]:
        conveyor = conveyor_of(row, shape) or above
        told = {name: self._field(name, one, shape, conveyor) for name, one in row.items()}
        is_row = shape is self._shape and shape.marks and shape.marks <= row.keys()
        if self._fields is None or not is_row:
            return told
        return self._with_fields(told, row, self._fields, conveyor)

    def _field(self, name: str, value: Any, shape: Shape, conveyor: str) -> Any:
        if value is None or isinstance(value, int | float):
            # Most of a record; feeds are long.
            return value
        if name in shape.conveyors and conveyor:
            return self._conveyor(name, value)
        if isinstance(value, str):
            if name in shape.words:
                return self._wording.word_out(shape.words[name], value, self._missed, name)
            if name in shape.components:
                return self._wording.component_out(conveyor, value)
            return value
        if name in shape.words and isinstance(value, list):
            return [self._field(name, one, shape, conveyor) for one in value]
        return self._value(value, shape.within.get(name, shape), conveyor)

    def _conveyor(self, name: str, value: Any) -> Any:
        if isinstance(value, str):
            return self._wording.conveyor_out(value, self._missed, name)
        if isinstance(value, dict) and isinstance(value.get("tag"), str):
            tag = self._wording.conveyor_out(value["tag"], self._missed, name)
            return {**value, "tag": tag}
        return value

    def _with_fields(
        self, told: dict[str, Any], row: dict[str, Any], fields: "Fields", conveyor: str
    ) -> dict[str, Any]:
        named = {fields.renamed.get(name, name): value for name, value in told.items()}
        for name, source in fields.copies.items():
            named.setdefault(name, self._copied(source, told, row, conveyor))
        for name, text in fields.constants.items():
            named.setdefault(name, text)
        return named

    def _copied(self, source: str, told: dict[str, Any], row: dict[str, Any], conveyor: str) -> Any:
        if source == ASSET_TAG:
            return self._asset_tag(row, conveyor)
        found: Any = told
        for name in source.split("."):
            found = found.get(name) if isinstance(found, dict) else None
        return found

    def _asset_tag(self, row: dict[str, Any], conveyor: str) -> str | None:
        names = [row.get(name) for name in self._shape.components]
        tags = self._wording.tags
        of_component = [tags[conveyor, one] for one in names if (conveyor, one) in tags and one]
        return of_component[0] if of_component else tags.get((conveyor, ""))


def conveyor_of(row: dict[str, Any], shape: Shape) -> str:
    """The tag of the conveyor a row names; empty when it names none."""
    for name in shape.conveyors:
        value = row.get(name)
        tag = value.get("tag") if isinstance(value, dict) else value
        if isinstance(tag, str):
            return tag
    return ""
