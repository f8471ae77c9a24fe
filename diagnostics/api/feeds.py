"""/api/v1/complaints/changes and /api/v1/cases/changes."""

from typing import Any

from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers

from diagnostics.api import examples
from diagnostics.api.case_serializers import CASE, CaseRecord
from diagnostics.api.serializers import ComplaintDetail
from plant.api.feed_views import ChangesOf, FeedAnswer, FeedEntry, feed_schema
from plant.models import ApiKey, Feed


def _answer(feed: str, **entry: Any) -> dict[str, Any]:
    first = {"number": 4711, "at": "2026-11-17T03:12:40.121333Z", "plant": "LT"}
    return {"next": feed, "more": False, "results": [{**first, **entry}]}


_COMPLAINTS = _answer(
    "Y29tcGxhaW50c3w0NzExfDE3OTUwMDAwMDAwMDAwMDA",
    kind="added",
    of="complaint",
    key="318",
    by="key",
    who="stores system",
    record=examples.COMPLAINT.value,
)
_CASES = _answer(
    "Y2FzZXN8NDcxMXwxNzk1MDAwMDAwMDAwMDAw",
    kind="changed",
    of="case",
    key="LT-C-0089",
    by="person",
    who="Tam Verity",
    record=CASE,
)


class ComplaintFeedEntry(FeedEntry):
    of = serializers.ChoiceField(choices=["complaint"])
    record = ComplaintDetail()


@extend_schema_serializer(
    examples=[OpenApiExample("A complaint came in", value=_COMPLAINTS, response_only=True)]
)
class ComplaintChanges(FeedAnswer):
    results = ComplaintFeedEntry(many=True)


class CaseFeedEntry(FeedEntry):
    of = serializers.ChoiceField(choices=["case"])
    record = CaseRecord()


@extend_schema_serializer(
    examples=[OpenApiExample("A cause was found", value=_CASES, response_only=True)]
)
class CaseChanges(FeedAnswer):
    results = CaseFeedEntry(many=True)


@extend_schema_view(
    get=feed_schema(
        "complaints_changes",
        "What changed in the complaints, oldest first",
        ComplaintChanges,
        "complaints",
        "Also one moved to another case, or withdrawn.",
    )
)
class ComplaintFeed(ChangesOf):
    scopes = {"GET": ApiKey.Scope.COMPLAINTS_READ}
    feed = Feed.COMPLAINTS


@extend_schema_view(
    get=feed_schema(
        "cases_changes", "What changed in the cases, oldest first", CaseChanges, "cases", ""
    )
)
class CaseFeed(ChangesOf):
    scopes = {"GET": ApiKey.Scope.CASES_READ}
    feed = Feed.CASES
