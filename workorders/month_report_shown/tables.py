"""The tables of a month's report."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics import fault_words
from plant.days import whole_days
from plant.metering.basis import Basis
from workorders.attention import AttentionKind
from workorders.attention_words import ATTENTION_WORDS
from workorders.month_report.changes import Verdict
from workorders.month_report.figures import Figures, Mend, ToDo, ToDoRow, Worst
from workorders.month_report_shown import words
from workorders.month_report_shown.words import DASH
from workorders.order_words import URGENCY_WORDS
from workorders.selectors.month_report.to_do import MOST_ROWS
from workorders.urgency import Urgency

VERDICT_WORDS = {
    Verdict.WORSE: gettext_lazy("got worse"),
    Verdict.BETTER: gettext_lazy("got better"),
    Verdict.OPEN: gettext_lazy("may be chance"),
    Verdict.UNKNOWN: gettext_lazy("cannot be compared"),
}
# What the second page has room for.
_MOST_BELTS, _MOST_MENDS, _MOST_ORDERS = 12, 8, 6


# What is no longer than a day or a state stays on one line.
_ONE_LINE = 12


@dataclass(frozen=True)
class TableCell:
    column: str
    words: str
    is_number: bool
    is_short: bool


@dataclass(frozen=True)
class Table:
    """Cells in words; `widths` are shares of the sheet, `numbers` the columns of figures."""

    slug: str
    heading: str
    columns: Sequence[str]
    widths: Sequence[float]
    rows: Sequence[Sequence[str]]
    numbers: Sequence[int] = ()
    note: str = ""
    none: str = ""

    @property
    def cells(self) -> list[list[TableCell]]:
        """For a page, where on a phone each row is a block of its own."""
        return [
            [
                TableCell(name, words, place in self.numbers, len(words) <= _ONE_LINE)
                for place, (name, words) in enumerate(zip(self.columns, row, strict=True))
            ]
            for row in self.rows
        ]


def worst(told: Figures) -> Table:
    ranking = told.ranking
    days = {"first": words.day_words(ranking.first), "last": words.day_words(ranking.until)}
    since = _("from %(first)s to %(last)s") % days if ranking.until else ""
    return Table(
        slug="worst",
        heading=_("The belts to look at first"),
        columns=[
            _("Conveyor"),
            _("Cases"),
            _("Came back"),
            _("Lost"),
            _("Fair rate"),
            _("Trend"),
            _("Next"),
        ],
        widths=(2.4, 0.8, 1.2, 1, 2.2, 1.1, 3),
        rows=[_worst(one, ranking.basis) for one in ranking.belts],
        numbers=(1, 2, 3),
        note=_ranked_words(since) if ranking.belts else "",
        none="" if ranking.belts else _none_ranked(since),
    )


def _none_ranked(since: str) -> str:
    if not since:
        return _("No belt is ranked yet: none has had a case, or nobody reckoned them.")
    return _("No belt had a case %(since)s.") % {"since": since}


def _ranked_words(since: str) -> str:
    return _(
        "Cases %(since)s, most lost hours first. Fair rate: with its limits at %(level)s, drawn "
        "toward the plant's usual rate the more, the less is known of the belt."
    ) % {"since": since, "level": words.level_words()}


def _worst(one: Worst, basis: str) -> list[str]:
    # Of cases of which nobody said anything no hours are known, not none.
    nobody_said = one.unsaid_cases == one.cases
    return [
        words.short(f"{one.tag} {one.name}", 30),
        str(one.cases),
        str(one.repeats),
        DASH if nobody_said else words.hours(one.lost_hours),
        _rate(one, basis),
        str(fault_words.TREND_WORDS[one.trend]),
        words.short(one.step),
    ]


def _rate(one: Worst, basis: str) -> str:
    if one.rate is None:
        return DASH
    limits = fault_words.between(one.lower, one.upper)
    return f"{fault_words.rate_words(one.rate, Basis(basis))} ({limits})"


def belts(told: Figures) -> Table:
    """Every belt with cases, the named ones first."""
    compared = told.compared.belts
    ranked = sorted(
        compared,
        key=lambda one: (one.verdict == Verdict.OPEN, -(one.earlier + one.later), one.name),
    )
    return Table(
        slug="belts",
        heading=_("Belts compared"),
        columns=[_("Conveyor"), _("3 months"), _("12 before"), _("Times as often"), _("Verdict")],
        widths=(1.4, 1, 1, 2.4, 1.6),
        rows=[
            [
                one.name,
                str(one.later),
                str(one.earlier),
                DASH if one.verdict == Verdict.UNKNOWN else words.how_often(one),
                str(VERDICT_WORDS[Verdict(one.verdict)]),
            ]
            for one in ranked[:_MOST_BELTS]
        ],
        numbers=(1, 2),
        note=_left_over(len(ranked) - _MOST_BELTS),
        none="" if ranked else _("No belt had a case."),
    )


def mends(told: Figures) -> Table:
    found = told.mends
    rows = [
        *(
            _mend(one, _("came back as %(case)s") % {"case": one.back_case})
            for one in found.came_back
        ),
        *(_mend(one, _("held through")) for one in found.held),
        *(_mend(one, _("proved this month")) for one in found.proved),
    ]
    return Table(
        slug="mends",
        heading=_("Mends"),
        columns=[_("Order"), _("What was done"), _("Days"), _("So far")],
        widths=(1.2, 4, 0.7, 2),
        rows=rows[:_MOST_MENDS],
        numbers=(2,),
        note=_left_over(len(rows) - _MOST_MENDS),
        none="" if rows else _("No mend was proved, held through or came back."),
    )


def _mend(one: Mend, how: str) -> list[str]:
    return [one.order, words.short(f"{one.tag} {one.title}"), str(whole_days(one.days)), how]


def orders(told: Figures) -> Table:
    rows = told.to_do.rows
    return Table(
        slug="orders",
        heading=_("Orders that want somebody"),
        columns=[_("Order"), _("What"), _("Why"), _("Since"), _("Urgency")],
        widths=(1.2, 3.6, 2, 1.1, 1.2),
        rows=[_order(one) for one in rows[:_MOST_ORDERS]],
        note=_orders_left(told.to_do),
        none="" if rows else _("None."),
    )


def _orders_left(do: ToDo) -> str:
    """How many orders are not shown; one may be counted for more than one reason."""
    kinds = (do.overdue, do.proofs, do.waiting_parts, do.not_begun)
    if len(do.rows) < MOST_ROWS or sum(kinds) == len(do.rows):
        return _left_over(len(do.rows) - _MOST_ORDERS)
    least = max(*kinds, len(do.rows)) - _MOST_ORDERS
    return _("At least %(n)d more; the pages of the site have all.") % {"n": least}


def _order(one: ToDoRow) -> list[str]:
    why = str(ATTENTION_WORDS[AttentionKind(one.kind)])
    return [
        one.order,
        words.short(f"{one.tag} {one.title}"),
        words.short(f"{why}: {one.why}") if one.why else why,
        words.day_words(one.since) or DASH,
        str(URGENCY_WORDS[Urgency(one.urgency)]),
    ]


def _left_over(count: int) -> str:
    return _("%(n)d more; the pages of the site have all.") % {"n": count} if count > 0 else ""
