"""What is sent: changes exactly as the feeds tell them, in the words of the target's system."""

import logging
from collections.abc import Iterable
from typing import Any

import orjson
from django.utils import timezone

from plant.models import FeedChange, WebhookDelivery, WebhookTarget, WordingGap
from plant.selectors import feed_entries, feed_pages, wordings
from plant.services import wording_gaps
from plant.webhooks.answers import Fault
from plant.wording.refusals import Missed, WordRefused
from plant.wording.wording import Wording

logger = logging.getLogger(__name__)


def bodies_of(
    target: WebhookTarget, deliveries: Iterable[WebhookDelivery]
) -> dict[int, str | Fault]:
    """As `read_bodies`; words that had no answer are counted as gaps of the system."""
    missed: set[Missed] = set()
    made = read_bodies(target, deliveries, missed)
    if target.system is not None and missed:
        wording_gaps.note_gaps(
            system=target.system, way=WordingGap.Way.OUT, missed=missed, now=timezone.now()
        )
    return made


def read_bodies(
    target: WebhookTarget, deliveries: Iterable[WebhookDelivery], missed: set[Missed]
) -> dict[int, str | Fault]:
    """By number, or why not; without those whose change is no longer kept."""
    wanted = list(deliveries)
    if not wanted:
        return {}
    changes = FeedChange.objects.filter(
        plant_id=target.plant_id, feed__in={one.feed for one in wanted}
    )
    since = min(one.numbered_at for one in wanted)
    rows = feed_pages.changes_by_number(changes, [one.number for one in wanted], since)
    wording = wordings.wording_of(target.system)
    return {
        number: body_of(row, target.plant.code, wording, missed) for number, row in rows.items()
    }


def body_of(
    row: tuple[Any, ...], plant: str, wording: Wording | None, missed: set[Missed]
) -> str | Fault:
    """`row` is COLUMNS of feed_pages; a strict wording without a word keeps it back."""
    try:
        if wording is None:
            entry = feed_entries.entry_of(row, plant)
        else:
            entry = feed_entries.worded_entry_of(row, plant, wording, missed)
    except WordRefused as refused:
        missed.add(Missed(refused.part, refused.word))
        return Fault.WORDS_MISSING
    except Exception:
        # A defect of ours keeps this one back, tried again and parked in the end, and no other.
        logger.exception("A change could not be worded for a webhook.")
        return Fault.BROKEN_OFF
    return orjson.dumps(entry).decode()
