"""Confirmed cases held against what the diagnosis of that moment named, by the thousand."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Count, Max, QuerySet

from diagnostics.inference.evaluation.verdicts import NOT_NAMED, Verdict, verdict_on
from diagnostics.inference.track_record import TrackRecord, track_record
from diagnostics.models import Case, Diagnosis, Hypothesis, SetAside
from diagnostics.selectors import base_rates, confirmed, shelf
from diagnostics.selectors.trends import Period
from plant.models import Plant

_AT_ONCE = 2000
_A_DAY = timedelta(days=1)


@dataclass(frozen=True)
class JudgedCase:
    """`on` is the day the cause was accepted, in the plant's zone."""

    on: date
    cause_class: str
    verdict: Verdict


def judged_cases(cases: QuerySet[Case], period: Period) -> list[JudgedCase]:
    """Confirmed cases whose cause was accepted on a day of the period."""
    rows = list(
        confirmed.with_standing_diagnosis(settled_in(cases, period))
        .order_by("cause_found_at", "pk")
        .values("pk", "stood", "cause", "cause_class", "cause_found_at", _ZONE)
    )
    found: list[JudgedCase] = []
    for start in range(0, len(rows), _AT_ONCE):
        found += _judged(rows[start : start + _AT_ONCE], period)
    return found


_ZONE = "conveyor__plant__time_zone"


def settled_in(cases: QuerySet[Case], period: Period) -> QuerySet[Case]:
    """Confirmed cases whose cause was accepted about then; a day to either side for the zones."""
    return base_rates.confirmed_in(cases).filter(
        cause_found_at__gte=datetime.combine(period.first, time(), UTC) - _A_DAY,
        cause_found_at__lt=datetime.combine(period.last, time(), UTC) + 2 * _A_DAY,
    )


def _judged(rows: list[dict[str, Any]], period: Period) -> Iterator[JudgedCase]:
    made = Diagnosis.objects.filter(pk__in=[row["stood"] for row in rows if row["stood"]])
    named = dict(made.values_list("pk", "named"))
    besides = confirmed.causes_accepted_besides([row["pk"] for row in rows])
    for row in rows:
        on = row["cause_found_at"].astimezone(ZoneInfo(row[_ZONE])).date()
        if period.first <= on <= period.last:
            true = [(row["cause"], row["cause_class"]), *besides[row["pk"]]]
            verdict = _verdict(named.get(row["stood"]), true)
            yield JudgedCase(on, row["cause_class"], verdict)


def _verdict(named: dict[str, Any] | None, true: list[tuple[str, str]]) -> Verdict:
    if not named:
        return NOT_NAMED
    return verdict_on(
        named["classes"],
        named["causes"],
        true_classes={name for _slug, name in true},
        true_causes={slug for slug, _name in true},
    )


def rules_at(plant: Plant, period: Period) -> TrackRecord:
    """What today's rules gave the true causes of the plant's confirmed cases of a period."""
    cases = Case.objects.filter(conveyor__plant=plant)
    return track_record(
        confirmed.confirmed_cases(settled_in(cases, period)),
        knowledge=shelf.knowledge_of(plant.pk),
        counts=base_rates.plant_counts(plant.pk),
        weights=base_rates.weights_of(plant.pk),
    )


def mark_of(plant: Plant, period: Period) -> str:
    """Another one as soon as `rules_at` may say something else."""
    cases = Case.objects.filter(conveyor__plant=plant)
    row = base_rates.weights_row(plant.pk)
    refuted = Hypothesis.objects.filter(case__conveyor__plant=plant)
    asides = SetAside.objects.filter(case__conveyor__plant=plant)
    parts = (
        plant.pk,
        period.first,
        period.last,
        shelf.knowledge_of(plant.pk).version,
        row.pk if row else None,
        # A case's own changes, and what is refuted or set aside, which does not change the case.
        *cases.aggregate(Count("pk"), Max("changed_at")).values(),
        *refuted.aggregate(Max("refuted_at")).values(),
        *asides.aggregate(Max("pk"), Max("taken_in_at")).values(),
    )
    return "|".join(map(str, parts))
