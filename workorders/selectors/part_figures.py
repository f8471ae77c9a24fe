"""Parts with what is reserved and due of them, as one question to the database."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any

from django.db.models import (
    Case,
    CharField,
    DateField,
    DecimalField,
    Expression,
    F,
    Func,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from plant.models import Plant
from workorders.models import OrderPart, Part, PartDue
from workorders.order_states import OPEN_STATES

_OPEN = sorted(state.value for state in OPEN_STATES)
_AMOUNT: Any = DecimalField(max_digits=14, decimal_places=2)
_NOTHING = Value(Decimal(0), output_field=_AMOUNT)


class Narrowed(StrEnum):
    """By what is wanted and what there is."""

    SHORT = "short"
    WAITS = "waits"
    LATE = "late"


@dataclass(frozen=True)
class PartsWanted:
    """Filters of the list; empty ones let everything through."""

    words: str = ""
    kind: str = ""
    supply: str = ""
    plant: str = ""
    also_retired: bool = False


@dataclass(frozen=True)
class PartFigures:
    """A part that came `with_figures`, as a page shows it."""

    part: Part
    reserved: Decimal
    due: Decimal
    late: Decimal

    @staticmethod
    def of(part: Part) -> "PartFigures":
        figures = (getattr(part, name) for name in ("reserved", "due_in_time", "due_late"))
        return PartFigures(part, *figures)

    @property
    def waiting(self) -> list[PartDue]:
        """What is still to come, soonest first."""
        return list(getattr(self.part, "waiting", ()))

    @property
    def free(self) -> Decimal:
        return max(self.part.on_hand - self.reserved, Decimal(0))

    @property
    def missing_now(self) -> Decimal:
        """Reserved, but not here yet."""
        return max(self.reserved - self.part.on_hand, Decimal(0))

    @property
    def short(self) -> Decimal:
        """Reserved, but neither here nor due."""
        return max(self.missing_now - self.due, Decimal(0))


def days_of(plants: Iterable[Plant], now: datetime) -> dict[int, date]:
    """By plant, the day it is there."""
    return {plant.pk: plant.day_of(now) for plant in plants}


def with_figures(parts: QuerySet[Part], days: dict[int, date]) -> QuerySet[Part]:
    """Each with `reserved`, `due_in_time`, `due_late` and, in `waiting`, what is due."""
    wanted = OrderPart.objects.filter(
        part=OuterRef("pk"), order__state__in=_OPEN, amount__gt=F("used")
    )
    dues = PartDue.objects.waiting().filter(part=OuterRef("pk"))
    return (
        parts.annotate(today=_today(days))
        .annotate(
            reserved=_sum(wanted, "part", F("amount") - F("used")),
            due_in_time=_sum(dues.filter(due_on__gte=OuterRef("today")), "part", F("amount")),
            due_late=_sum(dues.filter(due_on__lt=OuterRef("today")), "part", F("amount")),
        )
        .select_related("plant")
        .prefetch_related(Prefetch("dues", PartDue.objects.waiting(), to_attr="waiting"))
    )


def parts_wanted(
    parts: QuerySet[Part], wanted: PartsWanted, days: dict[int, date]
) -> QuerySet[Part]:
    found = with_figures(parts, days).order_by("number", "pk")
    if not wanted.also_retired:
        found = found.filter(retired_on__isnull=True)
    if wanted.kind:
        found = found.filter(kind=wanted.kind)
    if wanted.plant:
        found = found.filter(plant__code=wanted.plant)
    for word in wanted.words.split():
        found = found.filter(_that_hold(word))
    match wanted.supply:
        case Narrowed.SHORT:
            found = found.filter(Q(reserved__gt=F("on_hand") + F("due_in_time")))
        case Narrowed.WAITS:
            found = found.filter(Q(reserved__gt=F("on_hand")))
        case Narrowed.LATE:
            found = found.filter(Q(due_late__gt=0))
    return found


def written_as() -> Func:
    """All that people write for a part besides its number, as one text."""
    return Func(F("known_as"), Value(" "), function="array_to_string", output_field=CharField())


def _that_hold(word: str) -> Q:
    fields = ("number", "name", "note", "kept_at")
    found = Q(pk__in=Part.objects.alias(all=written_as()).filter(all__icontains=word).values("pk"))
    for field in fields:
        found |= Q(**{f"{field}__icontains": word})
    return found


def _today(days: dict[int, date]) -> Expression:
    whens = [When(plant=plant, then=Value(day)) for plant, day in days.items()]
    return Case(*whens, default=Value(date.max), output_field=DateField())


def _sum(rows: QuerySet[OrderPart] | QuerySet[PartDue], of: str, what: Expression | F) -> Coalesce:
    summed = rows.order_by().values(of).annotate(all=Sum(what, output_field=_AMOUNT)).values("all")
    return Coalesce(Subquery(summed, output_field=_AMOUNT), _NOTHING)
