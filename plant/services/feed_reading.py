"""Reading a change feed: what came in is numbered first, and who wants to may wait for more.

Nobody waits inside a transaction: between two looks, half a second apart, nothing of the database
is held but a slot. A waiting request does hold a thread of the web process, hence few may wait.
"""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

from django.conf import settings
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import FeedChange
from plant.selectors import feed_pages
from plant.selectors.feed_pages import Page, Place, Standing
from plant.services import feed_numbering, slots

LOOK_AGAIN_AFTER_S = 0.5
# One that waits, and the one that replaces it when a client gave up before we did.
MOST_WAITING_OF_A_KEY = 2


class ChangesNoLongerKept(DomainError):
    code = "changes_no_longer_kept"


class TooManyWaiting(DomainError):
    code = "too_many_waiting"


def now_in_feed() -> Place:
    """The place after everything that is committed by now."""
    return _standing().last


def read_changes(
    changes: QuerySet[FeedChange],
    seen: Place,
    limit: int,
    *,
    spared: str = "",
    wait_s: float = 0,
    waiter: str = "",
) -> Page:
    """The changes after a place; with none there, wait for the first up to `wait_s`.

    Those made by the key `spared` are left out. Refuses with ChangesNoLongerKept, and with
    TooManyWaiting when the waiter or the whole site has enough requests that wait.
    """
    known = _standing()
    _check_kept(changes, seen, known)
    if spared:
        changes = changes.exclude(by_key=spared)
    page = feed_pages.page_after(changes, seen, limit, known)
    _check_kept_still(changes, seen)
    if page.rows or not wait_s:
        return page
    until = time.monotonic() + wait_s
    with _slot(waiter):
        while not page.rows and time.monotonic() < until:
            time.sleep(min(LOOK_AGAIN_AFTER_S, max(0.0, until - time.monotonic())))
            known = _standing()
            if known.last.number > page.after.number:
                page = feed_pages.page_after(changes, page.after, limit, known)
    return page


def _standing() -> Standing:
    known = feed_pages.standing()
    if known.awaits:
        feed_numbering.number_batch()
        known = feed_pages.standing()
    return known


def is_kept(changes: QuerySet[FeedChange], seen: Place, known: Standing) -> bool:
    """Whether all that follows a place is still there; always so of the beginning."""
    if seen.at is None:
        return True
    is_between = known.dropped_through <= seen.number <= known.last.number
    return is_between and not feed_pages.was_begun_anew(changes, seen)


def _check_kept(changes: QuerySet[FeedChange], seen: Place, known: Standing) -> None:
    """Neither before what is kept nor out of a past that an older backup undid."""
    if not is_kept(changes, seen, known):
        raise ChangesNoLongerKept(
            _(
                "The changes after this cursor are no longer kept. Take a new one with after=now, "
                "read the list from its beginning, and go on from the new cursor."
            )
        )


def _check_kept_still(changes: QuerySet[FeedChange], seen: Place) -> None:
    """Changes may be dropped between the first check and the reading; only so old ones are."""
    oldest = timezone.now() - timedelta(days=settings.FEED_KEPT_DAYS)
    if seen.at is not None and seen.at <= oldest:
        _check_kept(changes, seen, feed_pages.standing())


@contextmanager
def _slot(waiter: str) -> Iterator[None]:
    with (
        _one_of(f"key {waiter}", MOST_WAITING_OF_A_KEY),
        _one_of("site", settings.FEED_MOST_WAITING),
    ):
        yield


@contextmanager
def _one_of(name: str, many: int) -> Iterator[None]:
    with slots.one_of(name, many) as is_free:
        if not is_free:
            raise TooManyWaiting(
                _("Too many requests wait already. Ask without wait=, or again in a few seconds.")
            )
        yield
