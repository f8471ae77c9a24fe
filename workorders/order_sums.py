"""What several orders come to as one, and one order as two; pure.

Nothing that keeps people safe is ever lost: cautions are united, isolation stays needed.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from workorders.urgency import Urgency

# From the most urgent on.
_BY_URGENCY = tuple(Urgency)


@dataclass(frozen=True)
class Content:
    """What an order says.

    Attributes
    ----------
    hours : Decimal or None
        By the clock, of all steps. [h]
    urgency_why : str
        Filled where a person set another urgency than the reasons gave.
    due_on, earliest_on : date or None
        The last day, and the first.
    """

    tools: tuple[str, ...]
    parts: tuple[str, ...]
    cautions: tuple[str, ...]
    needs_isolation: bool
    hours: Decimal | None
    people: int | None
    proof: str
    urgency: Urgency
    urgency_reasons: tuple[str, ...]
    urgency_why: str
    due_on: date | None
    earliest_on: date | None


def united(into: Content, others: Sequence[Content]) -> Content:
    """The content of one order for all of this work; what stands in the first stays first."""
    every = (into, *others)
    most = min(every, key=lambda one: _BY_URGENCY.index(one.urgency))
    return Content(
        tools=_together(one.tools for one in every),
        parts=_together(one.parts for one in every),
        cautions=_together(one.cautions for one in every),
        needs_isolation=any(one.needs_isolation for one in every),
        hours=_sum(one.hours for one in every),
        people=max((one.people for one in every if one.people), default=None),
        proof="\n".join(_together([one.proof.strip()] for one in every if one.proof.strip())),
        urgency=most.urgency,
        urgency_reasons=_together((most.urgency_reasons, *(one.urgency_reasons for one in every))),
        urgency_why=most.urgency_why,
        due_on=min((one.due_on for one in every if one.due_on), default=None),
        earliest_on=max((one.earliest_on for one in every if one.earliest_on), default=None),
    )


def _together(lists: Iterable[Iterable[str]]) -> tuple[str, ...]:
    """Each entry once, as it was first written; capitals make no difference."""
    found: dict[str, str] = {}
    for entries in lists:
        for entry in entries:
            found.setdefault(entry.strip().casefold(), entry)
    return tuple(found.values())


def _sum(hours: Iterable[Decimal | None]) -> Decimal | None:
    known = [one for one in hours if one is not None]
    return sum(known, Decimal(0)) if known else None


@dataclass(frozen=True)
class Halves:
    """Hours that stay and go; None where nobody knows. [h]"""

    stay: Decimal | None
    go: Decimal | None


def split_hours(
    whole: Decimal | None, steps: Sequence[Decimal | None], said: Decimal | None
) -> Halves:
    """How the hours of an order part.

    Parameters
    ----------
    whole : Decimal or None
        Of the order as it was. [h]
    steps : sequence of Decimal or None
        Of the steps that go. [h]
    said : Decimal or None
        What a person says the new order takes; None: what its steps take together. [h]
    """
    go = said if said is not None else _sum(steps)
    if whole is None:
        return Halves(None, go)
    return Halves(max(whole - (go or Decimal(0)), Decimal(0)), go)


def less(whole: Decimal | None, gone: Decimal | None) -> Decimal | None:
    """Hours that are left when some of them go back to where they came from. [h]"""
    return split_hours(whole, (), gone or Decimal(0)).stay
