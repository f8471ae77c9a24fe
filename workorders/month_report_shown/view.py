"""A whole month's report in words: what its page and its paper show."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plant.chart_view import ChartView
from plant.metering.basis import Basis
from workorders.month_report.changes import ACCEPTED, Verdict
from workorders.month_report.figures import Figures
from workorders.month_report_shown import charts, lists, tables, words
from workorders.month_report_shown.lists import Listed
from workorders.month_report_shown.tables import Table
from workorders.month_report_shown.words import DASH


@dataclass(frozen=True)
class Cell:
    """One figure of the strip below the headline; `note` says what it is made of."""

    label: str
    value: str
    note: str = ""


@dataclass(frozen=True)
class ReportView:
    title: str
    dateline: str
    headline: Sequence[str]
    cells: Sequence[Cell]
    lists: Sequence[Listed]
    worst: Table
    to_do: Listed
    gaps: Listed
    charts: Sequence[ChartView]
    tables: Sequence[Table]
    how_to_read: Sequence[str]


def view_of(told: Figures) -> ReportView:
    drawn = (charts.course(told), charts.changes(told))
    return ReportView(
        title=words.title(told),
        dateline=_dateline(told),
        headline=words.headline(told),
        cells=list(_cells(told)),
        lists=[
            lists.changed(told, Verdict.WORSE),
            lists.changed(told, Verdict.BETTER),
            lists.held(told),
            lists.came_back(told),
        ],
        worst=tables.worst(told),
        to_do=lists.to_do(told),
        gaps=lists.gaps(told),
        charts=[one for one in drawn if one is not None],
        tables=[tables.belts(told), tables.mends(told), tables.orders(told)],
        how_to_read=_how_to_read(told),
    )


def _dateline(told: Figures) -> str:
    belts = ngettext("%(n)d belt", "%(n)d belts", told.counts.belts) % {"n": told.counts.belts}
    said = [
        told.asked.plant_name,
        belts,
        _("invented demo data") if told.asked.is_demo else "",
        _("as recorded until %(when)s") % {"when": words.read_at(told)},
    ]
    return " · ".join(one for one in said if one)


def _cells(told: Figures) -> Iterator[Cell]:
    counts, lost = told.counts, told.lost
    before = _("%(n)d the month before") % {"n": counts.opened_before}
    yield Cell(_("Cases opened"), str(counts.opened), before)
    back = _("of those opened, faults that came back")
    yield Cell(_("Came back"), str(counts.repeats), back)
    yield Cell(_("Closed"), str(counts.closed), _("after a passed proof run"))
    open_note = _("at the end of the month") if told.asked.is_whole else _("now")
    yield Cell(_("Still open"), str(counts.open_at_end), open_note)
    yield Cell(_("Lost hours"), _lost_value(told), _lost_note(told))
    costs = DASH if lost.costs is None else words.number(lost.costs, 0)
    yield Cell(_("What they cost"), costs, _costs_note(told))


def _lost_value(told: Figures) -> str:
    if told.lost.hours is None:
        # Without a case nothing was lost; with cases nobody has said.
        return DASH if told.counts.opened else words.hours(0)
    return words.hours(told.lost.hours)


def _lost_note(told: Figures) -> str:
    unsaid, opened = told.lost.unsaid_cases, told.counts.opened
    if not opened:
        return _("no case")
    if not unsaid:
        return _("of all its cases")
    return _("nobody said of %(n)d of %(all)d cases") % {"n": unsaid, "all": opened}


def _costs_note(told: Figures) -> str:
    lost = told.lost
    if lost.costs is None:
        return _("no lost hours noted on a belt whose hour has a price")
    if lost.hours_without_price:
        without = {"hours": words.hours(lost.hours_without_price)}
        return _("in the plant's currency; %(hours)s on belts without a price") % without
    return _("in the plant's currency, by each belt's price of an hour")


def _how_to_read(told: Figures) -> list[str]:
    share = f"{words.number(100 * ACCEPTED)}\N{NO-BREAK SPACE}%"
    compared = {"level": words.level_words(), "share": share, "n": len(told.compared.belts)}
    return [
        _(
            "“2.1 times as often (1.2 to 3.6)”: per %(basis)s there were 2.1 times as many cases "
            "as before; the true figure lies between 1.2 and 3.6 with %(level)s (exact limits of "
            "the ratio of two Poisson rates)."
        )
        % {**compared, "basis": _basis_words(told.compared.basis)},
        _(
            "Belts are compared over three months with the twelve before, because one month of one "
            "belt says nothing. Of %(n)d belts some look changed by chance alone; a change is "
            "named only where at most %(share)s of those named would be (false discovery rate, "
            "Benjamini and Hochberg)."
        )
        % compared,
        _(
            "A mend held when its fault did not come back on the same belt in the %(days)d days "
            "after its passed proof run."
        )
        % {"days": told.mends.window_days},
    ]


def _basis_words(basis: str) -> str:
    return {
        Basis.RUNNING.value: _("running hour"),
        Basis.TONNES.value: _("tonne"),
        Basis.CALENDAR.value: _("day of the calendar"),
    }[basis]
