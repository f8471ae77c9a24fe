"""How much a key may ask in a minute, as every answer tells it.

`RateLimit` and `RateLimit-Policy` are those of draft-ietf-httpapi-ratelimit-headers in its
revision 10: q requests in w seconds, r of them left for t more seconds.
"""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from rest_framework.exceptions import APIException
from rest_framework.request import Request

from plant.models import ApiKey
from plant.services import pacing
from plant.services.pacing import Pace

_KEPT_AS = "loopwright.pace"


class TooManyRequests(APIException):
    """`wait` becomes Retry-After."""

    status_code = 429
    default_code = "too_many_requests"

    def __init__(self, text: str, wait: int) -> None:
        super().__init__(text)
        self.wait = wait


def count_request(request: Request, key: ApiKey) -> None:
    """Refuses with TooManyRequests when the key has used up its minute."""
    pace = pacing.count_request(key)
    if pace is None:
        return
    request.META[_KEPT_AS] = pace
    if pace.is_over:
        raise TooManyRequests(
            f"This key may send {pace.limit} requests in {pacing.WINDOW_S} seconds. Ask again in "
            f"{pace.left_s} seconds.",
            pace.left_s,
        )


def count_failure(request: Request) -> None:
    """Refuses with TooManyRequests whoever sends many keys that are none.

    Good keys from the same address are not held up by it.
    """
    pace = pacing.count_failure(request.META.get("REMOTE_ADDR", ""))
    if pace.is_over:
        raise TooManyRequests(
            f"Too many unknown keys came from here. Ask again in {pace.left_s} seconds.",
            pace.left_s,
        )


class TellsThePace:
    """Says on every counted answer, also a refusal, how much is left."""

    def __init__(self, answer: Callable[[HttpRequest], HttpResponse]) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.answer(request)
        pace = request.META.get(_KEPT_AS)
        if isinstance(pace, Pace):
            policy = f'"requests";q={pace.limit};w={pacing.WINDOW_S}'
            response.headers["RateLimit-Policy"] = policy
            response.headers["RateLimit"] = f'"requests";r={pace.remaining};t={pace.left_s}'
        return response
