"""Pages of a list, newest first, each handing out an opaque cursor to the next.

The cursor holds the instant and the key of the last row seen, so that rows that arrive meanwhile
neither repeat nor hide another. A view names the instant in `newest_by`.
"""

import base64
import binascii
from datetime import UTC, datetime
from typing import Any

from django.db.models import Q
from django.utils.dateparse import parse_datetime
from rest_framework.exceptions import ValidationError
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

_MOST = 200
_USUAL = 50
COUNT = "count"
_LARGEST_KEY = 2**63 - 1
_NO_INSTANT = datetime(1970, 1, 1, tzinfo=UTC)


class NewestFirst(BasePagination):
    # Whether a list says how long it is, when asked.
    counts = True
    query_names = frozenset({"limit", "cursor", COUNT})

    def paginate_queryset(self, queryset: Any, request: Request, view: Any = None) -> Any:
        self._request = request
        self._newest_by: str = view.newest_by
        limit = _limit(request.query_params.get("limit"))
        cursor = request.query_params.get("cursor")
        is_counted = self.counts and _is_counted(request.query_params.get(COUNT, "no"))
        # Of the whole list, on each of its pages; only who asks pays for it.
        self._count = queryset.count() if is_counted else None
        # One more than asked for tells whether there is a next page.
        found = self.rows_after(queryset, _read(cursor) if cursor else None, limit + 1)
        self._next = self._link(found[limit - 1]) if len(found) > limit else None
        return found[:limit]

    def rows_after(self, queryset: Any, seen: tuple[datetime, int] | None, most: int) -> list[Any]:
        """The rows that follow the one seen last."""
        rows = queryset.order_by(f"-{self._newest_by}", "-pk")
        if seen is not None:
            rows = rows.filter(_after(self._newest_by, *seen))
        return list(rows[:most])

    def _link(self, last: Any) -> str:
        cursor = _write(self._instant(last), last.pk)
        return replace_query_param(self._request.build_absolute_uri(), "cursor", cursor)

    def _instant(self, last: Any) -> datetime:
        at: datetime = getattr(last, self._newest_by)
        return at

    def get_paginated_response(self, data: Any) -> Response:
        count = {} if self._count is None else {COUNT: self._count}
        return Response({"next": self._next, **count, "results": data})

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        following = {
            "type": ["string", "null"],
            "format": "uri",
            "example": None,
            "description": "Address of the next page; null on the last.",
        }
        count = {
            "type": "integer",
            "minimum": 0,
            "example": 318,
            "description": "How many rows the whole list has; only with `count=yes`.",
        }
        counted = {COUNT: count} if self.counts else {}
        return {
            "type": "object",
            "required": ["next", "results"],
            "properties": {"next": following, **counted, "results": schema},
        }

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        limit = {"type": "integer", "minimum": 1, "maximum": _MOST, "default": _USUAL}
        count = {
            "name": COUNT,
            "in": "query",
            "description": (
                "`yes`: also say how many rows there are, exactly. It costs time on long lists: "
                "ask once, not on every page."
            ),
            "schema": {"type": "string", "enum": ["yes", "no"], "default": "no"},
        }
        return [
            *([count] if self.counts else []),
            {
                "name": "limit",
                "in": "query",
                "description": "How many rows a page may have.",
                "schema": limit,
            },
            {
                "name": "cursor",
                "in": "query",
                "description": "Taken from `next` of the page before; opaque.",
                "schema": {"type": "string"},
            },
        ]


class OldestKeyFirst(NewestFirst):
    """Rows in the order in which they were added, where no instant says when that was."""

    def paginate_queryset(self, queryset: Any, request: Request, view: Any = None) -> Any:
        view.newest_by = ""
        return super().paginate_queryset(queryset, request, view)

    def rows_after(self, queryset: Any, seen: tuple[datetime, int] | None, most: int) -> list[Any]:
        rows = queryset.order_by("pk")
        return list((rows if seen is None else rows.filter(pk__gt=seen[1]))[:most])

    def _instant(self, _last: Any) -> datetime:
        return _NO_INSTANT


def _limit(text: str | None) -> int:
    if text is None:
        return _USUAL
    if not (text.isascii() and text.isdigit() and len(text) <= 3 and 1 <= int(text) <= _MOST):
        raise ValidationError(
            {"limit": f"Give a whole number from 1 to {_MOST}."}, code="invalid_limit"
        )
    return int(text)


def _is_counted(text: str) -> bool:
    if text not in {"yes", "no"}:
        raise ValidationError({COUNT: "Give yes or no."}, code="invalid_count")
    return text == "yes"


def _after(newest_by: str, at: datetime, key: int) -> Q:
    # The first condition says nothing new, but it alone leads an index straight to the place.
    earlier = Q(**{f"{newest_by}__lt": at}) | Q(pk__lt=key)
    return Q(**{f"{newest_by}__lte": at}) & earlier


def _write(at: datetime, key: int) -> str:
    return base64.urlsafe_b64encode(f"{at.isoformat()}|{key}".encode()).decode().rstrip("=")


def _read(cursor: str) -> tuple[datetime, int]:
    try:
        padded = cursor + "=" * (-len(cursor) % 4)
        at_text, _bar, key_text = base64.urlsafe_b64decode(padded).decode().partition("|")
        at, key = parse_datetime(at_text), int(key_text)
        # PostgreSQL knows fewer offsets than Python does.
        at = at.astimezone(UTC) if at is not None and at.tzinfo is not None else None
    except (ValueError, OverflowError, binascii.Error):
        at, key = None, 0
    if at is None or not 0 < key <= _LARGEST_KEY:
        raise ValidationError(
            {"cursor": "Not a cursor of this list. Take it from `next` of the page before."},
            code="invalid_cursor",
        )
    return at, key
