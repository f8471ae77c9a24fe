"""What of the API will go, and when: told in every answer and in its description.

Within v1 addresses and fields are added, never taken away or given another meaning. Were that
ever needed, it would be marked here first: the answers carry `Deprecation` (RFC 9745), `Sunset`
(RFC 8594) and a link to what takes its place.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any, TypeVar

from django.utils.http import http_date
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from plant.api_promises import LEAST_NOTICE_DAYS

View = TypeVar("View", bound=type[APIView])


@dataclass(frozen=True)
class Deprecated:
    """`instead` is the address of what takes its place; empty when nothing does."""

    since: date
    goes_on: date
    instead: str = ""

    def __post_init__(self) -> None:
        if (self.goes_on - self.since).days < LEAST_NOTICE_DAYS:
            raise ValueError(
                f"goes_on must be at least {LEAST_NOTICE_DAYS} days after since, got {self.since} "
                f"and {self.goes_on}"
            )

    def headers(self) -> dict[str, str]:
        told = {
            "Deprecation": f"@{_seconds(self.since)}",
            "Sunset": http_date(_seconds(self.goes_on)),
        }
        if self.instead:
            told["Link"] = f'<{self.instead}>; rel="successor-version"'
        return told


def deprecated(since: date, goes_on: date, instead: str = "") -> Callable[[View], View]:
    """For a view of the API as a whole."""
    what = Deprecated(since, goes_on, instead)

    def mark(view: View) -> View:
        marked: Any = extend_schema(deprecated=True)(view)
        marked.deprecated = what
        return marked

    return mark


class TellsDeprecation(APIView):
    """Also on refusals: whoever is refused shall hear it, too."""

    deprecated: Deprecated | None = None

    def finalize_response(
        self, request: Request, response: Any, *args: Any, **kwargs: Any
    ) -> Response:
        answer: Response = super().finalize_response(request, response, *args, **kwargs)
        if self.deprecated is not None:
            for name, value in self.deprecated.headers().items():
                answer.headers[name] = value
        return answer


def _seconds(day: date) -> int:
    return int(datetime.combine(day, time(), tzinfo=UTC).timestamp())
