"""All figures of one month of one plant."""

from collections.abc import Callable, Mapping, Sequence

from plant.models import Conveyor
from workorders.month_report.figures import Asked, Figures, Gaps
from workorders.selectors.month_report import cases, comparing, mends, to_do, worst
from workorders.selectors.month_report.cases import CaseRow
from workorders.selectors.month_report.span import Span

Tick = Callable[[float], None]


def figures_of(span: Span, *, tick: Tick = lambda _share: None) -> Figures:
    """A fixed number of queries; `tick` hears of progress as a share of 1 and may raise to stop."""
    tick(0.0)
    all_belts = {one.pk: one for one in Conveyor.objects.filter(plant=span.plant)}
    in_service = {pk: one for pk, one in all_belts.items() if one.retired_on is None}
    rows = cases.rows_of(span)
    month = cases.in_month(rows, span)
    tick(0.3)
    compared = comparing.compared_of(rows, span)
    tick(0.6)
    mended = mends.mends_of(span, {pk: one.tag for pk, one in all_belts.items()})
    tick(0.8)
    return Figures(
        asked=_asked(span),
        counts=cases.counts_of(rows, span, len(in_service)),
        lost=cases.lost_of(month, all_belts),
        compared=compared,
        mends=mended,
        ranking=worst.ranking_of(span),
        to_do=to_do.to_do_of(span),
        gaps=_gaps(month, in_service, comparing.unmetered(span, in_service)),
        course=cases.course_of(rows, span),
    )


def _asked(span: Span) -> Asked:
    plant = span.plant
    return Asked(
        plant_code=plant.code,
        plant_name=plant.name,
        time_zone=plant.time_zone,
        month=span.month.code,
        as_of=span.now.isoformat(),
        is_whole=span.is_whole,
        is_demo=plant.is_demo,
    )


def _gaps(month: Sequence[CaseRow], belts: Mapping[int, Conveyor], unmetered: int) -> Gaps:
    return Gaps(
        cases=len(month),
        cause_unknown=sum(not row.family for row in month),
        lost_unsaid=sum(row.lost_hours is None for row in month),
        belts=len(belts),
        belts_unmetered=unmetered,
    )
