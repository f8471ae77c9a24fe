"""What a trend page and its files hold: counts, charts and the words of their rows."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from diagnostics import trend_charts
from diagnostics.class_words import class_words
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.models import Case
from diagnostics.recurrence import trend_tables
from diagnostics.recurrence.trend_tables import Cell, CountTable
from diagnostics.selectors import trends
from diagnostics.selectors.trends import Period
from diagnostics.trend_charts import MarkWords
from plant.chart_view import ChartView
from plant.loop.vocabulary import Zone


@dataclass(frozen=True)
class CountView:
    """A chart and the table behind it, which says what came back beside what came at all."""

    chart: ChartView
    row_heading: str
    table: CountTable
    words: dict[str, str]

    def labels(self) -> list[str]:
        return trend_charts.stretch_labels(self.table)

    def rows(self) -> Iterator[tuple[str, tuple[Cell, ...], Cell]]:
        for row, cells in self.table.rows.items():
            yield self.words[row], cells, self.table.total_of(row)


def views_of(cases: QuerySet[Case], period: Period) -> list[CountView]:
    """Over time, by zone, by cause family; empty when the period has no case."""
    tables = tables_of(cases, period)
    if not tables["time"].rows:
        return []
    return [_view(slug, table, words_of(slug, table)) for slug, table in tables.items()]


def _view(slug: str, table: CountTable, words: dict[str, str]) -> CountView:
    heading, row_heading = _headings()[slug]
    if slug == "time":
        spec = trend_charts.bars_over_time(table, _mark_words())
        caption = _("Hollow: the first time. Filled: a repeat of an earlier case. The number "
                    "counts both.")  # fmt: skip
    else:
        spec = trend_charts.marks_by_row(table, words, _mark_words(row_heading))
        caption = _("The number counts cases. A circle has first times only; a diamond has "
                    "repeats among them.")  # fmt: skip
    chart = ChartView(slug, heading, spec, *_count_rows(slug, table, words), caption)
    return CountView(chart, row_heading, table, words)


def _mark_words(row: str = "") -> MarkWords:
    return MarkWords(cases=_("cases"), repeats=_("repeats"), when=_("when"), row=row)


def tables_of(cases: QuerySet[Case], period: Period) -> dict[str, CountTable]:
    events = trends.events_of(cases, period)
    first, last = period.first, period.last
    zones, families = [zone.value for zone in Zone], [one.value for one in CauseClass]
    return {
        "time": trend_tables.count_all(events, first, last),
        "zones": trend_tables.count_by_zone(events, first, last, zones),
        "families": trend_tables.count_by_family(events, first, last, families),
    }


def words_of(slug: str, table: CountTable) -> dict[str, str]:
    """What people read for each row of a table."""
    if slug == "time":
        return {row: _("all cases") for row in table.rows}
    unknown = _("not known yet")
    if slug == "zones":
        return {row: _(row) if row else unknown for row in table.rows}
    return {row: str(class_words(row)) if row else unknown for row in table.rows}


def _headings() -> dict[str, tuple[str, str]]:
    return {
        "time": (_("Cases over time"), _("All")),
        "zones": (_("By zone"), _("Zone")),
        "families": (_("By cause family"), _("Cause family")),
    }


def file_rows(cases: QuerySet[Case], period: Period, slug: str) -> list[list[Any]]:
    """A table as a file: header first; one line for each row and stretch of time."""
    if slug == "repeats":
        return _repeat_rows(cases, period)
    table = tables_of(cases, period)[slug]
    header, rows = _count_rows(slug, table, words_of(slug, table))
    return [header, *rows]


def _count_rows(
    slug: str, table: CountTable, words: dict[str, str]
) -> tuple[list[str], list[list[Any]]]:
    """One line for each row and stretch of time."""
    header = [_headings()[slug][1], _("when"), _("cases"), _("repeats")]
    labels = trend_charts.stretch_labels(table)
    return header, [
        [words[row], label, cell.cases, cell.repeats]
        for row, cells in table.rows.items()
        for label, cell in zip(labels, cells, strict=True)
    ]


def _repeat_rows(cases: QuerySet[Case], period: Period) -> list[list[Any]]:
    header = [
        _("conveyor"),
        _("case"),
        _("opened"),
        _("cause"),
        _("repeats case"),
        _("days held"),
        _("what had been done"),
    ]
    return [
        header,
        *(
            [
                one.case.conveyor.tag,
                one.case.number,
                one.case.opened_at.isoformat(),
                one.case.cause or one.earlier.cause,
                one.earlier.number,
                one.days_held,
                "; ".join(f"{fix.number} {fix.title}" for fix in one.fixes),
            ]
            for one in trends.with_fixes(list(trends.repeats_of(cases, period)))
        ),
    ]
