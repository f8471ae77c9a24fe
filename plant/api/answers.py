"""What every answer of the API gets on its way out: ETag, 304, gzip, and who may keep it.

Compressed, because no answer holds both a secret and what somebody else chose (the BREACH
attack), and keys are sent by programs, never by a browser on its own. A page of changes shrinks to
a twentieth for two milliseconds; the strongest compression takes ten times as long for a quarter
less. The ETag of a list is that of its bytes: 304 spares the wire, not the query.
"""

import gzip
from collections.abc import Callable
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import patch_vary_headers
from rest_framework.response import Response

from plant.api import etags

PREFIX = "/api/v1/"
_VARY = ("Accept-Encoding", "Authorization")
_DONE = frozenset({HTTPStatus.OK, HTTPStatus.CREATED})
_SAFE = frozenset({"GET", "HEAD"})
# Below, the head of the answer weighs more than what is won.
_LEAST_BYTES = 600
_LEVEL = 1


class AnswersOfTheApi:
    def __init__(self, answer: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        answer = self.answer(request)
        if request.path_info.startswith(PREFIX):
            patch_vary_headers(answer, _VARY)
            answer.headers.setdefault("Cache-Control", "private, no-cache")
            if isinstance(answer, HttpResponse):
                _finish(request, answer)
        return answer


def _finish(request: HttpRequest, answer: HttpResponse) -> None:
    _tag(request, answer)
    if _is_known(request, answer):
        _say_not_modified(answer)
        return
    if _may_compress(request, answer):
        answer.content = gzip.compress(answer.content, compresslevel=_LEVEL, mtime=0)
        answer.headers["Content-Encoding"] = "gzip"
        if etag := answer.headers.get("ETag"):
            answer.headers["ETag"] = etags.compressed(etag)
    answer.headers["Content-Length"] = str(len(answer.content))
    if request.method == "HEAD":
        answer.content = b""


def _tag(request: HttpRequest, answer: HttpResponse) -> None:
    """Only what a row or a list shows; a page of changes has its cursor."""
    if not isinstance(answer, Response) or answer.status_code not in _DONE:
        return
    version = getattr(answer, "row_version", None)
    if request.method not in _SAFE:
        version = etags.version_told(answer)
        if version is None:
            return
    answer.headers.setdefault("ETag", etags.etag_of(answer.content, version))


def _is_known(request: HttpRequest, answer: HttpResponse) -> bool:
    asked, etag = request.headers.get("If-None-Match"), answer.headers.get("ETag")
    is_read = request.method in _SAFE and answer.status_code == HTTPStatus.OK
    return bool(is_read and asked and etag and etags.is_known(etag, asked))


def _say_not_modified(answer: HttpResponse) -> None:
    answer.status_code = HTTPStatus.NOT_MODIFIED
    answer.content = b""
    for name in ("Content-Type", "Content-Length", "Content-Language"):
        answer.headers.pop(name, None)


def _may_compress(request: HttpRequest, answer: HttpResponse) -> bool:
    return (
        len(answer.content) >= _LEAST_BYTES
        and "Content-Encoding" not in answer.headers
        and takes_gzip(request.headers.get("Accept-Encoding", ""))
    )


def takes_gzip(accepted: str) -> bool:
    """RFC 9110, section 12.5.3: `gzip;q=0` is a no, `*` speaks for what is not named."""
    weights = {}
    for one in accepted.lower().split(","):
        coding, _semicolon, parameter = (part.strip() for part in one.partition(";"))
        name, _equals, weight = parameter.partition("=")
        weights[coding] = _weight(weight) if name.strip() == "q" else 1.0
    return weights.get("gzip", weights.get("x-gzip", weights.get("*", 0.0))) > 0


def _weight(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0
