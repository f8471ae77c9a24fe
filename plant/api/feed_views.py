"""What every change feed shares: GET .../changes?after=&limit=&wait=&own=."""

from typing import Any

import orjson
from django.db.models import QuerySet
from django.http import HttpResponse
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request

from plant.api import feed_asking
from plant.api.keys import key_of
from plant.api.rows import RowsOfTheKey
from plant.api.their_words import WordMissing
from plant.api.times import UtcTime
from plant.models import ChangeKind, Feed, FeedChange, WordingGap
from plant.selectors import feed_entries, feed_pages
from plant.selectors.feed_pages import Page
from plant.services import feed_reading
from plant.wording.refusals import Missed, WordRefused
from plant.wording_words import refusal_words

_AFTER = OpenApiParameter(
    "after",
    str,
    description=(
        "Where to go on: `next` of the answer before, as it is. Left out: with the oldest change "
        "that is kept. `now`: with what is to come; the answer holds no change and a cursor."
    ),
    examples=[OpenApiExample("What is to come", value=feed_asking.NOW)],
)
_LIMIT = OpenApiParameter(
    "limit",
    {"type": "integer", "minimum": 1, "maximum": feed_asking.MOST, "default": feed_asking.USUAL},
    description="How many changes an answer may have.",
)
_WAIT = OpenApiParameter(
    "wait",
    {"type": "integer", "minimum": 0, "maximum": feed_asking.LONGEST_WAIT_S, "default": 0},
    description=(
        "With no change there, wait so many seconds for the first. Of one key "
        f"{feed_reading.MOST_WAITING_OF_A_KEY} requests may wait at a time; 429 beyond."
    ),
)
_OWN = OpenApiParameter(
    "own",
    str,
    enum=["yes", "no"],
    default="yes",
    description="`no` leaves out what this very key changed.",
)


# Named for the description of the API, where several kinds are told.
CHANGE_KINDS = [(kind, kind) for kind in ChangeKind.values]


class FeedEntry(serializers.Serializer[Any]):
    """One change. At least once, each with its number; of one row in the order of its changes."""

    number = serializers.IntegerField(help_text="Rises from change to change, with gaps.")
    at = UtcTime(help_text="When it was written; numbers go by when it was committed.")
    plant = serializers.CharField()
    kind = serializers.ChoiceField(
        choices=ChangeKind.values,
        help_text="`merged`: its work goes on in another row; `removed`: `record` is its last.",
    )
    key = serializers.CharField(help_text="What the row is called; this never changes.")
    by = serializers.ChoiceField(choices=["person", "key", "system"])
    who = serializers.CharField(
        allow_null=True, help_text="Name of the person or key; null for the system itself."
    )


class FeedAnswer(serializers.Serializer[Any]):
    next = serializers.CharField(
        help_text="Cursor for `after`; opaque. Keep it once the changes are worked in."
    )
    more = serializers.BooleanField(help_text="Whether there is more already.")


def feed_schema(
    operation_id: str, summary: str, answer: type[FeedAnswer], tag: str, description: str
) -> Any:
    return extend_schema(
        operation_id=operation_id,
        summary=summary,
        description=(
            f"{description} Each change holds the row as it stood after it, in the form the lists "
            "have. Changes come in the order in which they were committed; what one transaction "
            "did to a row is one change. A cursor older than what is kept gets 410: then take a "
            "new one with `after=now`, read the list, and go on from the new cursor."
        ),
        parameters=[_AFTER, _LIMIT, _WAIT, _OWN],
        responses=answer,
        tags=[tag],
    )


class ChangesOf(RowsOfTheKey):
    """`feed` and `scopes` say which; the rows of other plants are not looked at."""

    queryset = FeedChange.objects.all()
    pagination_class = None
    query_names = frozenset({"after", "limit", "wait", "own"})
    # Records go out as they were kept.
    is_sparse = False
    feed: Feed

    def get(self, request: Request, *_args: Any, **_kwargs: Any) -> HttpResponse:
        asked = feed_asking.asked_of(request.query_params, self.feed)
        key = key_of(request)
        if asked.after is None:
            place = feed_reading.now_in_feed()
            return self._answer(Page([], place, has_more=False))
        page = feed_reading.read_changes(
            self._changes(),
            asked.after,
            asked.limit,
            spared="" if asked.own else key.prefix,
            wait_s=asked.wait_s,
            waiter=key.prefix,
        )
        return self._answer(page)

    def _changes(self) -> QuerySet[FeedChange]:
        # The plant by its key once more, so that the index of its changes is walked in order.
        plant_id = key_of(self.request).plant_id
        return self.get_queryset().filter(plant_id=plant_id, feed=self.feed.value)

    def _answer(self, page: Page) -> HttpResponse:
        plant = key_of(self.request).plant.code
        entries = self._worded(page, plant) if self.wording else None
        if entries is None:
            # Records go out as they were kept, without being read.
            entries = [feed_entries.entry_of(row, plant) for row in page.rows]
        elif len(entries) < len(page.rows):
            page = feed_pages.cut(page, len(entries))
        told = {
            "next": feed_asking.cursor_of(page.after, self.feed),
            "more": page.has_more,
            "results": entries,
        }
        return HttpResponse(orjson.dumps(told), content_type="application/json")

    def _worded(self, page: Page, plant: str) -> list[dict[str, Any]]:
        """Up to the first change that has no words: it is held, and nothing goes past it."""
        assert self.wording is not None
        entries: list[dict[str, Any]] = []
        missed: set[Missed] = set()
        try:
            for row in page.rows:
                entries.append(feed_entries.worded_entry_of(row, plant, self.wording, missed))
        except WordRefused as refused:
            missed.add(Missed(refused.part, refused.word))
            if not entries:
                self.note_missed(WordingGap.Way.OUT, missed)
                raise WordMissing(refusal_words(refused)) from refused
        self.note_missed(WordingGap.Way.OUT, missed)
        return entries
