"""Every error of the API as one shape: a problem document (RFC 9457) with our `code`.

The only place that pairs refusals with HTTP statuses. What a fault was is
logged, never told.
"""

import logging
from http import HTTPStatus
from typing import Any

from django.core import signals
from django.core.exceptions import ObjectDoesNotExist, PermissionDenied
from django.http import Http404, HttpRequest, JsonResponse
from drf_standardized_errors.formatter import flatten_errors
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.settings import api_settings
from rest_framework.views import set_rollback

from plant.errors import DomainError

logger = logging.getLogger(__name__)

MEDIA_TYPE = "application/problem+json"


# Refusals that are no conflict, by their code.
_STATUS_OF = {
    "changes_no_longer_kept": HTTPStatus.GONE,
    "too_many_waiting": HTTPStatus.TOO_MANY_REQUESTS,
    "invalid_idempotency_key": HTTPStatus.BAD_REQUEST,
    "idempotency_key_reused": HTTPStatus.UNPROCESSABLE_ENTITY,
}
# Those that pass by themselves.
_TRY_AGAIN_AFTER_S = {"too_many_waiting": 5, "request_in_progress": 1}
# A version that is not the row's any more: 412 to whoever named it in If-Match.
_STALE = frozenset(
    {
        "order_changed_meanwhile",
        "stale_form",
        "belt_changed_meanwhile",
        "case_changed_meanwhile",
        "complaint_changed_meanwhile",
        "finding_changed_meanwhile",
        "precondition_failed",
    }
)


def problem_document(error: Exception, context: dict[str, Any]) -> Response:
    """REST framework's handler of everything a view raised."""
    set_rollback()
    request = context.get("request")
    path = request.path if request is not None else ""
    if isinstance(error, DomainError):
        body = refusal_body(error, path, names_version=_names_version(request))
        body |= _present(error.code, HTTPStatus(body["status"]), context)
        wait_s = _TRY_AGAIN_AFTER_S.get(error.code)
        return _response(body, {"Retry-After": str(wait_s)} if wait_s else None)
    known = _known(error)
    if known is None:
        return _response(_fault(error, request, path))
    body = _body(known, path)
    return _response(
        body | _present(body["code"], HTTPStatus(body["status"]), context), headers=_headers(known)
    )


def told(error: Exception, path: str, *, names_version: bool) -> dict[str, Any] | None:
    """The problem document of what was refused; None for a fault."""
    if isinstance(error, DomainError):
        return refusal_body(error, path, names_version=names_version)
    known = _known(error)
    return None if known is None else _body(known, path)


def refusal_body(refusal: DomainError, path: str, *, names_version: bool) -> dict[str, Any]:
    """What a refusal is told as; one that a field answers for names it."""
    status, field = status_of(refusal, names_version=names_version), getattr(refusal, "field", None)
    errors = [{"field": field, "code": refusal.code, "detail": str(refusal)}] if field else None
    return problem(status, refusal.code, str(refusal), path, errors)


def status_of(refusal: DomainError, *, names_version: bool) -> HTTPStatus:
    """Of a refusal; a stale version is no conflict for whoever `names_version`."""
    if names_version and refusal.code in _STALE:
        return HTTPStatus.PRECONDITION_FAILED
    return _STATUS_OF.get(refusal.code, HTTPStatus.CONFLICT)


def _names_version(request: Any) -> bool:
    return request is not None and bool(request.headers.get("If-Match"))


def _present(code: str, status: HTTPStatus, context: dict[str, Any]) -> dict[str, Any]:
    """How the row stands now, for whoever changed another state of it."""
    if status is not HTTPStatus.PRECONDITION_FAILED or code not in _STALE:
        return {}
    tell = getattr(context.get("view"), "present_record", None)
    record = tell() if tell else None
    return {} if record is None else {"present": record}


def unknown_address(request: HttpRequest) -> JsonResponse:
    """For what stands under the API's address and is no resource."""
    body = problem(
        HTTPStatus.NOT_FOUND,
        "not_found",
        "There is no such resource. /api/v1/openapi.json lists them.",
        request.path,
    )
    return JsonResponse(body, status=404, content_type=MEDIA_TYPE)


def problem(
    status: HTTPStatus,
    code: str,
    detail: str,
    path: str,
    errors: list[dict[str, str | None]] | None = None,
) -> dict[str, Any]:
    body: dict[str, Any] = {
        "type": f"urn:loopwright:problem:{code}",
        "title": status.phrase,
        "status": status.value,
        "detail": detail,
        "instance": path,
        "code": code,
    }
    if errors is not None:
        body["errors"] = errors
    return body


def _known(error: Exception) -> exceptions.APIException | None:
    if isinstance(error, exceptions.APIException):
        return error
    if isinstance(error, Http404 | ObjectDoesNotExist):
        return exceptions.NotFound("There is no such row, or it is another plant's.")
    if isinstance(error, PermissionDenied):
        return exceptions.PermissionDenied()
    return None


def _body(error: exceptions.APIException, path: str) -> dict[str, Any]:
    status = HTTPStatus(error.status_code)
    if not isinstance(error, exceptions.ValidationError):
        return problem(status, str(error.get_codes()), str(error.detail), path)
    errors = [_field_error(one) for one in flatten_errors(error.detail)]
    detail = "; ".join(
        f"{one['field']}: {one['detail']}" if one["field"] else str(one["detail"]) for one in errors
    )
    return problem(status, "invalid", detail, path, errors)


def _field_error(error: Any) -> dict[str, str | None]:
    is_whole = error.attr in {None, api_settings.NON_FIELD_ERRORS_KEY}
    return {
        "field": None if is_whole else error.attr,
        "code": error.code,
        "detail": error.detail,
    }


def _fault(error: Exception, request: Any, path: str) -> dict[str, Any]:
    logger.error("API request to %s failed.", path, exc_info=error)
    # As Django does for a page, so that whoever watches faults (and the test client) sees it.
    signals.got_request_exception.send(sender=None, request=getattr(request, "_request", None))
    return problem(
        HTTPStatus.INTERNAL_SERVER_ERROR,
        "server_error",
        "Something failed on this side and was recorded. Trying again later may help.",
        path,
    )


def _headers(error: exceptions.APIException) -> dict[str, str]:
    headers = {}
    if auth_header := getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = auth_header
    if wait := getattr(error, "wait", None):
        headers["Retry-After"] = str(int(wait))
    return headers


def _response(body: dict[str, Any], headers: dict[str, str] | None = None) -> Response:
    return Response(body, status=body["status"], headers=headers, content_type=MEDIA_TYPE)
