"""What the page of the hit rate and its files hold: scores, charts and the tables behind them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _

from diagnostics import hit_rate_charts, learning_charts
from diagnostics.class_words import class_words
from diagnostics.inference.evaluation.rates import Rate
from diagnostics.inference.evaluation.verdicts import Named, Scores, named_of, scores_of
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.learning_charts import Share
from diagnostics.recurrence import trend_tables
from diagnostics.selectors.hit_rate import JudgedCase
from diagnostics.selectors.trends import Period
from diagnostics.trend_charts import stretch_labels
from plant.chart_specs import told
from plant.chart_view import ChartView

# The interval of a share of so many cases is about half of the whole wide; below it a share says
# next to nothing. Engineering judgement.
LEAST_CASES = 10
FILES = ("scores", "classes", "months", "calibration")


@dataclass(frozen=True)
class RateRow:
    """One row of a table: its words, and how often the truth was named first and early."""

    words: str
    named: Named | None

    @property
    def is_few(self) -> bool:
        return self.named is None or self.named.first.of < LEAST_CASES


@dataclass(frozen=True)
class HitRatePage:
    """`scores` is None where the period has no confirmed case."""

    scores: Scores | None
    classes: list[RateRow]
    months: list[RateRow]
    grain: str
    classes_chart: ChartView | None = None
    months_chart: ChartView | None = None
    calibration_chart: ChartView | None = None

    @property
    def is_few(self) -> bool:
        return self.scores is None or self.scores.cases < LEAST_CASES

    @property
    def unanswered(self) -> int:
        return self.scores.cases - self.scores.answered if self.scores else 0


def page_of(judged: Sequence[JudgedCase], period: Period) -> HitRatePage:
    """The figures, without their drawings."""
    return HitRatePage(
        scores=scores_of([one.verdict for one in judged]),
        classes=_by_class(judged),
        months=_by_time(judged, period),
        grain=trend_tables.grain_for(period.first, period.last).value,
    )


def drawn(page: HitRatePage) -> HitRatePage:
    """The same with its drawings; nothing is drawn of no case."""
    if page.scores is None:
        return page
    return replace(
        page,
        classes_chart=_classes_chart(page.classes),
        months_chart=_months_chart(page.months),
        calibration_chart=calibration_chart("calibration", _("Stated and true"), page.scores),
    )


def calibration_chart(slug: str, heading: str, scores: Scores | None) -> ChartView | None:
    """None where too few cases were answered."""
    if scores is None or not scores.calibration:
        return None
    tells = told(("stated", _("stated"), ".0%"), *_told_of_share())
    spec = hit_rate_charts.calibration(scores.calibration, _("stated"), _("right"), tells)
    header, *rows = _bin_rows(scores)
    caption = _("Across: the probability stated of the first family; up: how often it was right. "
                "Honest figures lie on the dashed line, too sure ones below it. The number counts "
                "cases.")  # fmt: skip
    if len(scores.calibration) == 1:
        few = _("There is only one dot while cases are few: dots of fewer cases would show chance.")
        caption = f"{caption} {few}"
    return ChartView(slug, heading, spec, header, rows, caption)


def _told_of_share() -> list[tuple[str, str, str]]:
    """Words of what `hit_rate_charts` holds for each mark."""
    return [
        ("share", _("first suggestion right"), ".0%"),
        ("lower", _("at least, with 95 % confidence"), ".0%"),
        ("upper", _("at most, with 95 % confidence"), ".0%"),
        ("of", _("cases"), "d"),
    ]


def _months_chart(rows: Sequence[RateRow]) -> ChartView:
    among = ("among", _("among the first three"), ".0%")
    tells = told(("when", _("when")), *_told_of_share(), among)
    stretches = [(row.words, row.named) for row in rows]
    spec = hit_rate_charts.rates_over_time(stretches, _("first suggestion right"), tells)
    header, *cells = _rate_rows(_("when"), rows)
    caption = _("Dot and bar: the first suggestion was right, with its interval; hollow diamond: "
                "right among the first three; above, the number of cases. By the day the cause was "
                "accepted.")  # fmt: skip
    return ChartView("months", _("Over time"), spec, header, cells, caption)


def _by_class(judged: Sequence[JudgedCase]) -> list[RateRow]:
    words = {one.value: str(class_words(one)) for one in CauseClass}
    found = {one.cause_class for one in judged}
    order = [one for one in words if one in found] + sorted(found - set(words))
    return [
        RateRow(
            words.get(name, name),
            named_of([one.verdict.class_rank for one in judged if one.cause_class == name]),
        )
        for name in order
    ]


def _by_time(judged: Sequence[JudgedCase], period: Period) -> list[RateRow]:
    grain = trend_tables.grain_for(period.first, period.last)
    stretches = trend_tables.stretches_of(period.first, period.last, grain)
    ranks: dict[Any, list[int | None]] = {one: [] for one in stretches}
    for one in judged:
        ranks[trend_tables.start_of(one.on, grain)].append(one.verdict.class_rank)
    labels = stretch_labels(trend_tables.CountTable(grain, stretches, {}))
    return [
        RateRow(label, named_of(its) if its else None)
        for label, its in zip(labels, ranks.values(), strict=True)
    ]


def _classes_chart(rows: Sequence[RateRow]) -> ChartView:
    shares = [
        Share(
            f"{row.words} ({row.named.first.of})",
            row.named.first.share,
            row.named.first.lower,
            row.named.first.upper,
            before=row.named.among.share,
        )
        for row in rows
        if row.named is not None
    ]
    tells = told(
        ("words", _("family (cases)")),
        ("mean", _("first suggestion right"), ".0%"),
        ("lower", _("at least, with 95 % confidence"), ".0%"),
        ("upper", _("at most, with 95 % confidence"), ".0%"),
        ("before", _("among the first three"), ".0%"),
    )
    spec = learning_charts.shares_by_row(shares, _("first suggestion right"), tells)
    header, *cells = _rate_rows(_("family"), rows)
    caption = _("Dot and bar: the first suggestion was right, with its interval; hollow diamond: "
                "right among the first three; in brackets the number of cases.")  # fmt: skip
    return ChartView("classes", _("By family"), spec, header, cells, caption)


def file_rows(page: HitRatePage, table: str) -> list[list[Any]]:
    """A table as a file, header first."""
    match table:
        case "scores":
            return _score_rows(page.scores)
        case "classes":
            return _rate_rows(_("family"), page.classes)
        case "months":
            return _rate_rows(_("when"), page.months)
    return _bin_rows(page.scores)


def _rate_rows(heading: str, rows: Sequence[RateRow]) -> list[list[Any]]:
    header = [heading, _("cases")]
    for words in (_("first right"), _("among the first three")):
        header += [words, _("share"), _("lower"), _("upper")]
    return [
        header,
        *([row.words, *_rate_cells(row.named)] for row in rows),
    ]


def _rate_cells(named: Named | None) -> list[Any]:
    if named is None:
        return [0, *[None] * 8]
    return [named.first.of, *_cells(named.first), *_cells(named.among)]


def _cells(rate: Rate) -> list[Any]:
    return [rate.hits, round(rate.share, 4), round(rate.lower, 4), round(rate.upper, 4)]


def _score_rows(scores: Scores | None) -> list[list[Any]]:
    header = [_("figure"), _("cases"), _("right"), _("value"), _("lower"), _("upper")]
    if scores is None:
        return [header]
    rates = (
        (_("family first"), scores.classes.first),
        (_("family among the first three"), scores.classes.among),
        (_("cause first"), scores.causes.first),
        (_("cause among the first three"), scores.causes.among),
    )
    return [
        header,
        *([words, rate.of, *_cells(rate)] for words, rate in rates),
        [_("Brier score"), scores.answered, None, scores.brier, None, None],
        [
            _("mean log probability of the true family"),
            scores.answered - scores.impossible,
            None,
            scores.log_score,
            None,
            None,
        ],
    ]


def _bin_rows(scores: Scores | None) -> list[list[Any]]:
    header = [_("stated from"), _("stated to"), _("stated on average"), _("cases"), _("right"),
              _("share"), _("lower"), _("upper")]  # fmt: skip
    return [
        header,
        *(
            [
                round(one.stated_from, 4),
                round(one.stated_to, 4),
                round(one.mean_stated, 4),
                one.hit_rate.of,
                *_cells(one.hit_rate),
            ]
            for one in (scores.calibration if scores else ())
        ),
    ]
