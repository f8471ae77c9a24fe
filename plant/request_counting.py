"""Counts every request by the pattern of its address, when somebody watches (METRICS_TOKEN)."""

import re
import time
from collections.abc import Callable
from functools import lru_cache

from django.conf import settings
from django.core.exceptions import MiddlewareNotUsed
from django.http import HttpRequest, HttpResponse

from plant.services import request_counts

# A named group of a regular expression, with one more inside at most; `<str:tag>` of a path.
_GROUP = re.compile(r"\(\?P<(\w+)>[^()]*(?:\([^()]*\)[^()]*)*\)")
_CONVERTER = re.compile(r"<\w+:")
STATIC, NO_ROUTE = "static files", "no such address"


class CountsRequests:
    """Outermost, so that it sees what everything else takes and answers."""

    def __init__(self, answer: Callable[[HttpRequest], HttpResponse]) -> None:
        if not settings.METRICS_TOKEN:
            raise MiddlewareNotUsed
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        began = time.perf_counter()
        response = self.answer(request)
        request_counts.of_this_process.add(
            route=_route(request),
            method=str(request.method),
            status=response.status_code,
            seconds=time.perf_counter() - began,
        )
        return response


def _route(request: HttpRequest) -> str:
    """The pattern, never the address: there are as many of those as there are rows."""
    match = request.resolver_match
    if match is not None:
        return _plain(str(match.route))
    is_static = request.path.startswith(f"/{settings.STATIC_URL.strip('/')}/")
    return STATIC if is_static else NO_ROUTE


@lru_cache(maxsize=1000)
def _plain(route: str) -> str:
    """`/cases/<number>/`, however the pattern says what a number looks like."""
    named = _CONVERTER.sub("<", _GROUP.sub(r"<\1>", route))
    return "/" + named.replace("^", "").replace("\\.", ".").rstrip("$")
