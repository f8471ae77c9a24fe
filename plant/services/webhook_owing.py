"""What changed becomes owed to the targets that follow: one page of the feeds after another.

The target's row is locked while its place moves on, so that of two workers one reads, and the
deliveries are there exactly when the place says so.
"""

import logging
from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from plant.models import FeedChange, WebhookDelivery, WebhookTarget
from plant.selectors import feed_pages
from plant.selectors.feed_pages import Place, Standing
from plant.services import feed_numbering, feed_reading

logger = logging.getLogger(__name__)

PAGE = 500
# Beyond it changes wait in the feed, where they take no further room.
MOST_UNFINISHED = 10_000
# Of one sweep, so that a target far behind holds up no other.
_MOST_PAGES = 10


def owe_changes() -> int:
    """Number what came in and owe it to whoever follows; returns how many deliveries were made."""
    following = list(WebhookTarget.objects.filter(off="").values_list("pk", flat=True))
    if not following:
        return 0
    feed_numbering.number_owed()
    last = feed_pages.standing().last.number
    behind = WebhookTarget.objects.filter(pk__in=following).exclude(read_through=last)
    return sum(_try_to_owe(pk) for pk in behind.values_list("pk", flat=True))


def _try_to_owe(target_id: int) -> int:
    try:
        return _owe(target_id)
    except Exception:
        # Of this target alone: the others' changes are owed all the same.
        logger.exception("What changed could not be owed to webhook %s.", target_id)
        return 0


def _owe(target_id: int) -> int:
    done = 0
    for _page in range(_MOST_PAGES):
        made, has_more = _owe_page(target_id)
        done += made
        if not has_more:
            break
    return done


@transaction.atomic
def _owe_page(target_id: int) -> tuple[int, bool]:
    rows = WebhookTarget.objects.select_for_update(skip_locked=True, no_key=True)
    target = rows.select_related(None).filter(pk=target_id, off="").first()
    if target is None:
        return 0, False
    # Read behind the lock: the place may have been moved on until then.
    known = feed_pages.standing()
    seen = Place(target.read_through, target.read_at)
    mine = FeedChange.objects.filter(plant_id=target.plant_id)
    if not feed_reading.is_kept(mine, seen, known):
        _stop(target)
        return 0, False
    room = MOST_UNFINISHED - target.deliveries.unfinished().count()
    if room <= 0:
        return 0, False
    found, after = _page_after(target, seen, min(PAGE, room), known)
    made = WebhookDelivery.objects.bulk_create(_owed(target, found, timezone.now()))
    target.read_through, target.read_at = after.number, after.at
    target.save(update_fields=["read_through", "read_at"])
    return len(made), after.number < known.last.number


def _page_after(
    target: WebhookTarget, seen: Place, limit: int, known: Standing
) -> tuple[list[FeedChange], Place]:
    """The first changes of all its feeds together, and the place they reach.

    Feed by feed, as the index lies; where one has more than a page, the others wait for it.
    """
    found: list[FeedChange] = []
    after = known.last
    for feed in target.feeds:
        page = list(_changes(target, feed, seen)[: limit + 1])
        if len(page) > limit:
            page = page[:limit]
            after = min(after, _place(page[-1]), key=lambda place: place.number)
        found += page
    found = sorted((one for one in found if one.number <= after.number), key=lambda one: one.number)
    if len(found) > limit:
        found = found[:limit]
        after = _place(found[-1])
    return found, after


def _changes(target: WebhookTarget, feed: str, seen: Place) -> QuerySet[FeedChange]:
    rows = FeedChange.objects.filter(
        plant_id=target.plant_id, feed=feed, number__gt=seen.number, kind__in=target.kinds
    )
    if seen.at is not None:
        rows = rows.filter(numbered_at__gte=seen.at)
    if target.spared_key is not None:
        rows = rows.exclude(by_key=target.spared_key.prefix)
    return rows.order_by("number").defer("record")


def _owed(
    target: WebhookTarget, changes: Iterable[FeedChange], now: datetime
) -> list[WebhookDelivery]:
    return [
        WebhookDelivery(
            target=target,
            number=one.number,
            numbered_at=one.numbered_at,
            feed=one.feed,
            of=one.of,
            row_id=one.row_id,
            key=one.key,
            kind=one.kind,
            next_at=now,
            made_at=now,
        )
        for one in changes
    ]


def _stop(target: WebhookTarget) -> None:
    target.off, target.off_at = WebhookTarget.Off.BEHIND, timezone.now()
    target.save(update_fields=["off", "off_at"])
    logger.warning("Webhook %s fell behind what the feeds keep and was stopped.", target.pk)


def _place(change: FeedChange) -> Place:
    return Place(change.number, change.numbered_at)
