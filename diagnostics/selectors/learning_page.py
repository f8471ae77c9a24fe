"""What the page of what was learned shows: shares, the cases behind them, and who changed what."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch, Q, QuerySet
from django.db.models.functions import Coalesce

from diagnostics.inference.case_counts import CaseCounts
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.learning import Learned, Lesson, lessons_of
from diagnostics.models import BaseRateWeights, Case, Hypothesis, SetAside
from diagnostics.selectors import base_rates
from plant.models import Conveyor, Plant, User


@dataclass(frozen=True)
class Change:
    """One thing the lead did: `weights` or `case` is what it was done to."""

    at: datetime
    by: User | None
    why: str
    weights: BaseRateWeights | None = None
    case: Case | None = None
    is_taken_in: bool = False


@dataclass(frozen=True)
class CauseRow:
    """One cause of a class; `overall` is its share among all causes, `own` cases of the belt."""

    slug: str
    name: str
    learned: Learned
    overall: float
    own: int


@dataclass(frozen=True)
class Learnt:
    """`confirmed` and `unnamed` are cases that count; with a conveyor, its own of these."""

    lessons: tuple[Lesson, ...]
    within: list[tuple[Lesson, list[CauseRow]]]
    confirmed: int
    unnamed: int
    own_confirmed: int


def learnt_at(plant: Plant, conveyor: Conveyor | None, knowledge: Knowledge) -> Learnt:
    counts = base_rates.plant_counts(plant.pk)
    own = counts.own(conveyor.pk) if conveyor else None
    lessons = lessons_of(counts.plant, own, knowledge, base_rates.weights_of(plant.pk))
    return Learnt(
        lessons,
        [(one, _rows(one, knowledge, own or CaseCounts())) for one in lessons],
        confirmed=sum(counts.plant.confirmed.values()),
        unnamed=sum(counts.plant.unnamed.values()),
        own_confirmed=sum(own.confirmed.values()) if own else 0,
    )


def _rows(lesson: Lesson, knowledge: Knowledge, own: CaseCounts) -> list[CauseRow]:
    """The likeliest cause first."""
    rows = [
        CauseRow(
            slug,
            knowledge.causes[slug].name,
            learned,
            lesson.overall(slug),
            own.confirmed.get(slug, 0),
        )
        for slug, learned in lesson.causes.items()
    ]
    return sorted(rows, key=lambda one: -one.overall)


def cases_behind(plant: Plant, conveyor: Conveyor | None, cause: str) -> QuerySet[Case]:
    """Cases that count or were set aside, the newest first.

    `aside` holds the standing row, `refuted` the hypotheses that were ruled out.
    """
    cases = Case.objects.filter(conveyor__plant=plant)
    if conveyor is not None:
        cases = cases.filter(conveyor=conveyor)
    named, unnamed = base_rates.named_in(cases), base_rates.ended_unnamed_in(cases)
    which = Q(pk__in=named.values("pk"))
    if cause:
        which &= Q(cause=cause)
    else:
        which |= Q(pk__in=unnamed.values("pk"))
    refuted = Hypothesis.objects.filter(refuted_at__isnull=False)
    standing = SetAside.objects.filter(taken_in_at__isnull=True).select_related("set_by")
    return (
        cases.filter(which)
        .select_related("conveyor__plant")
        .annotate(settled_at=Coalesce("cause_found_at", "ended_at", "opened_at"))
        .prefetch_related(
            Prefetch("set_asides", standing, to_attr="aside"),
            Prefetch("hypotheses", refuted, to_attr="refuted"),
        )
        .order_by("-settled_at", "-pk")
    )


def changes_at(plant: Plant) -> list[Change]:
    """Everything anybody changed about the plant's base rates, the newest first."""
    rows = BaseRateWeights.objects.filter(plant=plant).select_related("set_by")
    found = [Change(row.set_at, row.set_by, row.why, weights=row) for row in rows]
    asides = SetAside.objects.filter(case__conveyor__plant=plant)
    for row in asides.select_related("case__conveyor", "set_by", "taken_in_by"):
        found += _done_to(row)
    return sorted(found, key=lambda one: one.at, reverse=True)


def _done_to(row: SetAside) -> Iterator[Change]:
    yield Change(row.set_at, row.set_by, row.why, case=row.case)
    if row.taken_in_at is not None:
        yield Change(
            row.taken_in_at, row.taken_in_by, row.taken_in_why, case=row.case, is_taken_in=True
        )
