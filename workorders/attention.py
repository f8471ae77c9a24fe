"""Which orders want somebody's attention although nobody moved them; pure.

An order is told of once for each fact: a new due day, a new wait, work reported done anew are new
facts.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum


class AttentionKind(StrEnum):
    OVERDUE = "overdue"
    NOT_BEGUN = "not_begun"
    PARTS = "parts"
    PROOF = "proof"


@dataclass(frozen=True)
class Standing:
    """What is asked of an order.

    Attributes
    ----------
    is_open, is_scheduled, waits_for_parts, is_to_be_proved : bool
    due_on : date or None
        The plant's day by which it is to be done.
    planned_for : datetime or None
        When it was to begin.
    waits_since, done_at : datetime or None
        When the present wait, the present state of being done, began; None when nobody knows.
    """

    is_open: bool
    is_scheduled: bool = False
    waits_for_parts: bool = False
    is_to_be_proved: bool = False
    due_on: date | None = None
    planned_for: datetime | None = None
    waits_since: datetime | None = None
    done_at: datetime | None = None


@dataclass(frozen=True)
class Attention:
    """`since` is a day or an instant, as known; `fact` tells one occasion from the next."""

    kind: AttentionKind
    fact: str
    since: date | datetime | None


def attention_wanted(standing: Standing, today: date, now: datetime) -> tuple[Attention, ...]:
    """All that an order wants attention for, most pressing first.

    Parameters
    ----------
    standing : Standing
    today : date
        The plant's own day.
    now : datetime
    """
    found = []
    if standing.is_open and standing.due_on is not None and standing.due_on < today:
        due_on = standing.due_on
        found.append(Attention(AttentionKind.OVERDUE, due_on.isoformat(), due_on))
    if standing.is_scheduled and standing.planned_for is not None and standing.planned_for < now:
        planned_for = standing.planned_for
        fact = planned_for.isoformat(timespec="minutes")
        found.append(Attention(AttentionKind.NOT_BEGUN, fact, planned_for))
    if standing.is_open and standing.waits_for_parts:
        found.append(_since(AttentionKind.PARTS, standing.waits_since))
    if standing.is_to_be_proved:
        found.append(_since(AttentionKind.PROOF, standing.done_at))
    return tuple(found)


def _since(kind: AttentionKind, since: datetime | None) -> Attention:
    return Attention(kind, since.isoformat(timespec="seconds") if since else "", since)
