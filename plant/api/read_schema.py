"""The description of reading and of versions: `fields`, 304, `If-Match`, 412 and 428.

An answer cut to `fields` lacks what its schema requires; the description says so with a second
form of the same fields, none of them required.
"""

from copy import deepcopy
from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiExample, OpenApiParameter

from plant.api.asking import FIELDS, AsksByName
from plant.api.etags import IF_MATCH

_CUT = "Part"
_SCHEMAS = "#/components/schemas/"
_ETAG = {
    "description": '`"<version>-<digest>"` of one row, the digest of a list.',
    "schema": {"type": "string"},
}
NOT_MODIFIED = "As the ETag in `If-None-Match` says; there is no body"
STALE = {
    "412": "The row is in another state than `If-Match` says; `present` shows it",
    "428": "`If-Match` is missing",
}
# For every operation that changes a row there is.
IF_MATCH_HEADER = OpenApiParameter(
    IF_MATCH,
    str,
    "header",
    required=True,
    description=(
        "Which state is changed: the ETag of the row, or its version in quotes, as lists and feeds "
        "give it; several with commas; `*` for any. 428 without it, 412 when it is another by now."
    ),
    examples=[OpenApiExample("By version", value='"3"')],
)


class Operation(AutoSchema):
    """Adds `fields` to whatever reads rows, with the names there are."""

    def get_override_parameters(self) -> list[Any]:
        named: list[Any] = super().get_override_parameters()
        view = self.view
        if self.method != "GET" or not isinstance(view, AsksByName) or not view.is_sparse:
            return named
        return [*named, _fields(view.field_names())]


def _fields(names: list[str]) -> OpenApiParameter:
    one = {"type": "string", "enum": names}
    return OpenApiParameter(
        FIELDS,
        {"type": "array", "items": one, "minItems": 1, "uniqueItems": True},
        description="Only these fields of each row, with commas between; nested ones as a whole.",
        style="form",
        explode=False,
        examples=[OpenApiExample("Two of them", value=names[:2])],
    )


def reading_described(result: dict[str, Any], **_generator_and_request: Any) -> dict[str, Any]:
    """After the operations are described: which can be cut, not modified, or stale."""
    schemas = result["components"].setdefault("schemas", {})
    for methods in result["paths"].values():
        for method, operation in methods.items():
            names = {one.get("name") for one in operation.get("parameters", ())}
            if method == "get" and FIELDS in names:
                _describe_reading(operation, schemas)
    return result


def _describe_reading(operation: dict[str, Any], schemas: dict[str, Any]) -> None:
    answer = operation["responses"]["200"]
    content = answer["content"]["application/json"]
    listed = content["schema"]
    whole = listed.get("properties", {}).get("results", {}).get("items")
    if whole is None and "$ref" in listed:
        page = schemas[listed["$ref"].removeprefix(_SCHEMAS)]
        whole = page.get("properties", {}).get("results", {}).get("items")
    if whole is None:
        content["schema"] = _whole_or_cut(listed, schemas)
    elif "anyOf" not in whole:
        cut = _whole_or_cut(dict(whole), schemas)
        whole.clear()
        whole.update(cut)
    answer.setdefault("headers", {})["ETag"] = _ETAG
    operation["responses"].setdefault("304", {"description": NOT_MODIFIED})


def _whole_or_cut(schema: dict[str, Any], schemas: dict[str, Any]) -> dict[str, Any]:
    name = schema["$ref"].removeprefix(_SCHEMAS)
    cut = deepcopy(schemas[name])
    cut.pop("required", None)
    cut["description"] = f"{name} cut to what `fields` asked for."
    cut["additionalProperties"] = False
    schemas[name + _CUT] = cut
    return {"anyOf": [schema, {"$ref": f"{_SCHEMAS}{name}{_CUT}"}]}
