"""The description of the API (OpenAPI 3.1), made from its own code."""

import json
from datetime import timedelta
from functools import lru_cache
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.generators import SchemaGenerator

from plant.api.etags import IF_MATCH
from plant.api.idempotency import HEADER
from plant.api.keys import KEYWORD
from plant.api.read_schema import STALE
from plant.api.their_words import WORDS
from plant.services.idempotency import KEPT_FOR, MOST_CHARACTERS
from plant.services.pacing import WINDOW_S

_MEDIA_TYPE = "application/problem+json"
_PROBLEM_REF = "#/components/schemas/Problem"

_PROBLEM_SCHEMA: dict[str, Any] = {
    "type": "object",
    "description": (
        "What went wrong, as RFC 9457 says. `code` is stable; `detail` is for people. `errors` "
        "stands only where fields were wrong, one entry for each."
    ),
    "required": ["type", "title", "status", "detail", "instance", "code"],
    "properties": {
        "type": {"type": "string", "format": "uri"},
        "title": {"type": "string"},
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "detail": {"type": "string"},
        "instance": {"type": "string"},
        "code": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["field", "code", "detail"],
                "properties": {
                    "field": {
                        "type": ["string", "null"],
                        "description": "Name of the field or parameter; null for the whole.",
                    },
                    "code": {"type": "string"},
                    "detail": {"type": "string"},
                },
            },
        },
        "present": {
            "type": "object",
            "additionalProperties": True,
            "description": "With 412 only: the row as it is now.",
        },
    },
}
_ALWAYS = {
    "400": "A field or parameter is wrong or not known; `errors` says which",
    "401": "No key, or one that is unknown, revoked or expired",
    "403": "The key lacks the scope",
    "429": "The key has used up its minute; `Retry-After` says when to ask again",
    "default": "Any other refusal or fault",
}
_WORDING = {"409": "A strict system has no word for what would be told (`word_missing`)"}
_MISSING = {"404": "No such row, or it is another plant's"}
_FOLLOWING = {
    "410": "Changes after the cursor are no longer kept; `detail` says how to begin anew",
    "429": (
        "The key has used up its minute, or enough requests wait already; `Retry-After` says when "
        "to ask again"
    ),
}
_WRITING = {"409": "Refused as things stand; `code` says why"}
_DONE_ONCE = {"422": "The Idempotency-Key was used for another request"}
_IDEMPOTENCY_KEY: dict[str, Any] = {
    "name": HEADER,
    "in": "header",
    "description": (
        "Optional. The same key with the same address and body is answered as it was the first "
        f"time, for {KEPT_FOR // timedelta(hours=1)} hours; with others 422, while the first is "
        "still being done 409 (`request_in_progress`). What was refused is not kept: it is judged "
        "anew. With other methods it has no meaning."
    ),
    "schema": {"type": "string", "minLength": 1, "maxLength": MOST_CHARACTERS},
    "example": "7a3f1c52-9b0e-4a57-8a40-6f1d3c1d9a11",
}
# As draft-ietf-httpapi-ratelimit-headers-10 writes them.
_HEADERS: dict[str, Any] = {
    "RateLimit-Policy": {
        "description": "How many requests (`q`) the key may send in how many seconds (`w`).",
        "schema": {"type": "string"},
        "example": f'"requests";q=600;w={WINDOW_S}',
    },
    "RateLimit": {
        "description": "How many of them are left (`r`), for how many seconds more (`t`).",
        "schema": {"type": "string"},
        "example": '"requests";r=598;t=57',
    },
    "Retry-After": {
        "description": "Seconds to wait.",
        "schema": {"type": "integer"},
        "example": 12,
    },
}


class KeyScheme(OpenApiAuthenticationExtension):
    target_class = "plant.api.keys.KeyAuthentication"
    name = "ApiKey"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        return {
            "type": "apiKey",
            "in": "header",
            "name": "Authorization",
            "description": (
                f"`Authorization: {KEYWORD} <key>`. An administrator makes keys, each for one "
                "plant, with scopes and an end."
            ),
        }


def errors_as_problem_documents(
    result: dict[str, Any], **_generator_and_request: Any
) -> dict[str, Any]:
    """Add to every operation the errors it can answer with, in the shape they have."""
    result["components"].setdefault("schemas", {})["Problem"] = _PROBLEM_SCHEMA
    result["components"].setdefault("parameters", {})["Words"] = WORDS
    for path, methods in result["paths"].items():
        for operation in methods.values():
            parameters = operation.setdefault("parameters", [])
            parameters.append({"$ref": "#/components/parameters/Words"})
            for status, words in _errors_of(path, operation).items():
                operation["responses"].setdefault(status, _response(words))
        if posted := methods.get("post"):
            _done_once(posted)
        for operation in methods.values():
            _told_on_every_answer(operation)
    result["components"].setdefault("parameters", {})["IdempotencyKey"] = _IDEMPOTENCY_KEY
    result["components"]["headers"] = _HEADERS
    return result


def _told_on_every_answer(operation: dict[str, Any]) -> None:
    for status, response in operation["responses"].items():
        names = ["RateLimit", "RateLimit-Policy", *(["Retry-After"] if status == "429" else [])]
        headers = response.setdefault("headers", {})
        for name in names:
            headers.setdefault(name, {"$ref": f"#/components/headers/{name}"})


def _done_once(operation: dict[str, Any]) -> None:
    reference = {"$ref": "#/components/parameters/IdempotencyKey"}
    operation.setdefault("parameters", []).append(reference)
    for status, words in (_DONE_ONCE | _WRITING).items():
        operation["responses"].setdefault(status, _response(words))


def _errors_of(path: str, operation: dict[str, Any]) -> dict[str, str]:
    errors = dict(_ALWAYS)
    errors |= _WORDING
    if any(one.get("name") == IF_MATCH for one in operation.get("parameters", ())):
        errors |= STALE
    if any(one.get("name") == "wait" for one in operation.get("parameters", ())):
        errors |= _FOLLOWING
    if "requestBody" in operation:
        errors |= _WRITING
    if "{" in path:
        errors |= _MISSING
    return errors


def _response(words: str) -> dict[str, Any]:
    return {
        "description": words,
        "content": {_MEDIA_TYPE: {"schema": {"$ref": _PROBLEM_REF}}},
    }


@login_not_required
@require_safe
def openapi_document(request: HttpRequest) -> HttpResponse:
    return HttpResponse(_document(), content_type="application/json")


@lru_cache(maxsize=1)
def _document() -> bytes:
    # Made once in each process: nothing in it depends on who asks, and asking costs nothing then.
    schema = SchemaGenerator().get_schema(request=None, public=True)
    # Bounds of decimals are decimals.
    return json.dumps(schema, ensure_ascii=False, indent=1, default=float).encode()
