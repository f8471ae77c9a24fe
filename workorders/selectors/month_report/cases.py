"""Cases of the month and the year before it: how many, how they ended, what they cost."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q

from diagnostics.case_states import OPEN_STATES, CaseState
from diagnostics.models import Case
from diagnostics.selectors import trends
from plant.models import Conveyor
from workorders.month_report.figures import Counts, Lost, MonthCount
from workorders.selectors.month_report.span import Span

_OPEN = sorted(state.value for state in OPEN_STATES)


@dataclass(frozen=True)
class CaseRow:
    conveyor_id: int
    opened_at: datetime
    family: str
    is_repeat: bool
    lost_hours: float | None


def rows_of(span: Span) -> list[CaseRow]:
    """Cases of mistracking from the first day that is compared until the report's end; one query.

    Those of retired belts are among them: what happened has happened.
    """
    cases = Case.objects.filter(conveyor__plant=span.plant, opened_at__lt=span.end)
    found = trends.cases_in(cases, span.read_days).order_by("opened_at", "pk")
    rows = found.values_list(
        "conveyor_id", "opened_at", "cause_class", "repeat_of_id", "lost_hours"
    )
    return [
        CaseRow(conveyor_id, at, family, repeat_of is not None, None if h is None else float(h))
        for conveyor_id, at, family, repeat_of, h in rows
    ]


def in_month(rows: Iterable[CaseRow], span: Span) -> list[CaseRow]:
    return [row for row in rows if span.first <= row.opened_at]


def counts_of(rows: Sequence[CaseRow], span: Span, belts: int) -> Counts:
    """One query more, for those that ended in the month and those that stood open at its end."""
    opened = in_month(rows, span)
    before = span.midnight(span.month.ahead(-1).first)
    cases = Case.objects.filter(conveyor__plant=span.plant)
    ended = Q(state=CaseState.CLOSED.value, ended_at__gte=span.first, ended_at__lt=span.end)
    # A case that was closed later stood open then.
    stood = Q(state__in=_OPEN) | Q(state=CaseState.CLOSED.value, ended_at__gte=span.end)
    found = cases.aggregate(
        closed=Count("pk", filter=ended),
        open_at_end=Count("pk", filter=stood & Q(opened_at__lt=span.end)),
    )
    return Counts(
        belts=belts,
        opened=len(opened),
        repeats=sum(row.is_repeat for row in opened),
        opened_before=sum(before <= row.opened_at < span.first for row in rows),
        **found,
    )


def lost_of(month: Sequence[CaseRow], belts: dict[int, Conveyor]) -> Lost:
    """Hours noted for the month's cases and what they cost where the belt's hour has a price."""
    said = [row for row in month if row.lost_hours is not None]
    priced, without = [], 0.0
    for row in said:
        hours = row.lost_hours or 0.0
        price = belts[row.conveyor_id].hour_costs if row.conveyor_id in belts else None
        if price is None:
            without += hours
        else:
            priced.append(hours * float(price))
    return Lost(
        hours=sum(row.lost_hours or 0.0 for row in said) if said else None,
        unsaid_cases=len(month) - len(said),
        costs=sum(priced) if priced else None,
        hours_without_price=without,
    )


def course_of(rows: Iterable[CaseRow], span: Span) -> tuple[MonthCount, ...]:
    """Cases of each of the thirteen months, empty ones too."""
    counts = {month: [0, 0] for month in span.months}
    for row in rows:
        month = span.month_of(row.opened_at)
        if month in counts:
            counts[month][0] += 1
            counts[month][1] += row.is_repeat
    return tuple(MonthCount(month.code, *both) for month, both in counts.items())
