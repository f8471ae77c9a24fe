"""What a reader of a change feed asks for: after which place, how many, waiting how long."""

import base64
import binascii
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.http import QueryDict
from rest_framework.exceptions import ValidationError

from plant import api_promises
from plant.models import Feed
from plant.selectors.feed_pages import BEGINNING, Place

MOST = api_promises.MOST_CHANGES
USUAL = 100
LONGEST_WAIT_S = api_promises.LONGEST_WAIT_S
NOW = "now"
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)
_LARGEST = 2**63 - 1


@dataclass(frozen=True)
class Asked:
    """`after` is None for now."""

    after: Place | None
    limit: int
    wait_s: int
    own: bool


def asked_of(query: QueryDict, feed: Feed) -> Asked:
    after = query.get("after")
    return Asked(
        after=None if after == NOW else _read(after, feed) if after else BEGINNING,
        limit=_whole(query, "limit", USUAL, 1, MOST),
        wait_s=_whole(query, "wait", 0, 0, LONGEST_WAIT_S),
        own=_own(query.get("own", "yes")),
    )


def cursor_of(place: Place, feed: Feed) -> str:
    since = 0 if place.at is None else (place.at - _EPOCH) // _MICROSECOND
    text = f"{feed.value}|{place.number}|{since}"
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


def _read(cursor: str, feed: Feed) -> Place:
    try:
        padded = cursor + "=" * (-len(cursor) % 4)
        name, number, since = base64.b64decode(padded, b"-_", validate=True).decode().split("|")
        place = Place(_digits(number), _EPOCH + _digits(since) * _MICROSECOND)
    except (ValueError, OverflowError, binascii.Error):
        name, place = "", BEGINNING
    if name != feed.value or place.number > _LARGEST:
        raise ValidationError(
            {
                "after": "Not a cursor of this feed. Give `next` of an answer of this address as "
                "it is, `after=now` for what is to come, or nothing to begin with what is kept."
            },
            code="invalid_cursor",
        )
    return place


def _digits(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 19):
        raise ValueError(text)
    return int(text)


def _whole(query: QueryDict, name: str, usual: int, least: int, most: int) -> int:
    text = query.get(name)
    if text is None:
        return usual
    if not (text.isascii() and text.isdigit() and len(text) <= 4 and least <= int(text) <= most):
        raise ValidationError(
            {name: f"Give a whole number from {least} to {most}."}, code=f"invalid_{name}"
        )
    return int(text)


def _own(text: str) -> bool:
    if text not in {"yes", "no"}:
        raise ValidationError({"own": "Give yes or no."}, code="invalid_own")
    return text == "yes"
