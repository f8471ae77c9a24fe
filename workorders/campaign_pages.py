"""A comparison of two periods as its page and files show it."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from django.utils.translation import gettext as _

from diagnostics import trend_exposure
from diagnostics.selectors.case_rates import CaseRate
from diagnostics.selectors.trends import Period
from plant import exposure_words
from plant.chart_view import NARROW_PX, ChartView
from plant.models import Plant
from workorders import campaign_charts, campaign_words
from workorders.campaign_charts import Marks, Point
from workorders.models import Campaign
from workorders.selectors.before_after import BeforeAfter, BeltRow, Compared, Side

_WIDE = 640
# Above so many days with cases the chart and its table count months.
_MOST_DAYS = 120

Row = list[Any]


@dataclass(frozen=True)
class ComparisonPage:
    """`campaign` None for two periods somebody typed; `is_usual` where nobody named a basis."""

    found: BeforeAfter
    plant: Plant
    campaign: Campaign | None = None
    is_usual: bool = False

    @property
    def chosen(self) -> str:
        return self.campaign.chosen if self.campaign else Campaign.Chosen.OTHER.value

    def sentences(self) -> dict[str, Any]:
        found = self.found
        after = found.chosen.after.cases
        return {
            "ratio": campaign_words.ratio_words(found.chosen),
            "anyway": campaign_words.anyway_words(found.anyway, after) if found.anyway else "",
            "others": campaign_words.ratio_words(found.others) if found.others else "",
            "beside": campaign_words.beside_words(found.beside) if found.beside else "",
            "change": campaign_words.change_words(found, self.plant),
            "cannot": list(campaign_words.cannot_say(found, self.chosen)),
            "basis": trend_exposure.basis_sentence(found.basis, is_chosen=not self.is_usual),
        }

    def sides(self) -> list[tuple[str, dict[str, Any]]]:
        rows = [
            (_("Before"), self.found.chosen.before),
            (_("After"), self.found.chosen.after),
        ]
        if self.found.others:
            rows += [
                (_("Other belts before"), self.found.others.before),
                (_("Other belts after"), self.found.others.after),
            ]
        return [(name, campaign_words.side_words(side, self.found)) for name, side in rows]

    def belt_rows(self, belts: Iterable[BeltRow]) -> list[dict[str, Any]]:
        return [
            {
                "conveyor": one.conveyor,
                "before": one.before,
                "rate_before": self._rate(one.before),
                "after": one.after,
                "rate_after": self._rate(one.after),
            }
            for one in belts
        ]

    def _rate(self, found: CaseRate) -> str:
        rate = found.rate
        return "" if rate is None else exposure_words.rate_figure(rate, self.found.basis)

    @cached_property
    def points(self) -> list[Point]:
        """Cases up to each day that had one, in the plant's zone; by month where days are many."""
        zone = self.plant.zone_info
        days = [case.opened_at.astimezone(zone).date() for case in self.found.cases]
        if len(set(days)) > _MOST_DAYS:
            days = [day.replace(day=1) for day in days]
        points, so_far = [], 0
        for day, count in sorted(Counter(days).items()):
            so_far += count
            points.append(Point(max(day, self.found.periods.whole.first), so_far))
        return points

    def chart(self, file_address: str) -> ChartView:
        words = {
            "up": _("cases so far"),
            "day": _("day"),
            "campaign": _("campaign"),
            "change": _("when it changed"),
        }
        whole, marks = self.found.periods.whole, self._marks()
        wide, narrow = (
            campaign_charts.summed_up(
                self.points, marks, whole.first, whole.last, width=width, words=words
            )
            for width in (_WIDE, NARROW_PX - 50)
        )
        return ChartView(
            slug="so-far",
            heading=_("Cases, summed up"),
            spec=wide,
            narrow_spec=narrow,
            header=[_("Day"), _("Cases so far")],
            rows=[[f"{one.on:%Y-%m-%d}", one.so_far] for one in self.points],
            caption=" ".join(_caption(marks)),
            file_address=file_address,
        )

    def _marks(self) -> Marks:
        periods, change = self.found.periods, self.found.change
        campaign = None
        if periods.began_on and periods.ended_on:
            campaign = (periods.began_on, periods.ended_on + timedelta(days=1))
        lines = [self._line(periods.before), self._line(periods.after)]
        return Marks(
            rates=[one for one in lines if one],
            campaign=campaign,
            change=self._change_days() if change and change.probability > 0.5 else None,
        )

    def _change_days(self) -> tuple[date, date, date]:
        change, start = self.found.change, self.found.begins_at
        assert change is not None
        assert start is not None
        lower, likeliest, upper = (
            campaign_words.day_after(start, one, self.plant)
            for one in (change.lower, change.mode, change.upper)
        )
        return lower, likeliest, upper

    def _line(self, period: Period) -> tuple[date, float, date, float]:
        """From the sum where the period begins to the sum where it ends."""
        end = period.last + timedelta(days=1)
        return (
            period.first,
            float(self._so_far(period.first)),
            period.last,
            float(self._so_far(end)),
        )

    def _so_far(self, before: date) -> int:
        zone = self.plant.zone_info
        return sum(case.opened_at.astimezone(zone).date() < before for case in self.found.cases)


def _caption(marks: Marks) -> Iterator[str]:
    """What each thing that is drawn means; of nothing else."""
    yield _("The stair rises with each case of these belts; the steeper, the oftener.")
    yield _("Dashed: the mean rate before and after.")
    if marks.campaign:
        yield _("Upright band: the campaign.")
    if marks.change:
        yield _(
            "Bar along the foot: the days among which a change of the rate lies with 90 %, the "
            "diamond on the likeliest."
        )


def rows_of(table: str, page: ComparisonPage) -> Iterator[Row]:
    """Header first; KeyError for a table there is not."""
    return FILES[table](page)


def _figures(page: ComparisonPage) -> Iterator[Row]:
    found = page.found
    yield [
        _("Belts"),
        _("Period"),
        _("From"),
        _("To"),
        _("Cases"),
        _("Cases left out"),
        _("Exposure"),
        _("Unit"),
        exposure_words.rate_heading(found.basis),
        _("Ratio"),
        _("Lower limit"),
        _("Upper limit"),
        _("p, two-sided"),
    ]
    for name, compared in ((_("chosen"), found.chosen), (_("others"), found.others)):
        if compared is not None:
            yield [name, _("before"), *_side(compared.before, page), None, None, None, None]
            yield [name, _("after"), *_side(compared.after, page), *_ratio(compared)]


def _side(side: Side, page: ComparisonPage) -> Row:
    basis = page.found.basis
    rate = None if side.rate is None else round(side.rate * basis.rate_per, 4)
    days = [side.period.first, side.period.last]
    return [*days, side.cases, side.left_out, round(side.exposure, 3), basis.unit, rate]


def _ratio(compared: Compared) -> Row:
    ratio = compared.ratio
    if ratio is None:
        return [None] * 4
    figures = (ratio.ratio, ratio.lower, ratio.upper, ratio.p_two_sided)
    # What has no end, or nothing to divide by, is no number of a table.
    return [float(one) if abs(float(one)) < float("inf") else None for one in figures]


def _belts(page: ComparisonPage) -> Iterator[Row]:
    unit, per = page.found.basis.unit, page.found.basis.rate_per
    yield [
        _("Conveyor"),
        _("Name"),
        _("Cases before"),
        _("Exposure before [%(unit)s]") % {"unit": unit},
        _("Rate before"),
        _("Cases after"),
        _("Exposure after [%(unit)s]") % {"unit": unit},
        _("Rate after"),
    ]
    for row in page.found.belts:
        figures: Row = []
        for one in (row.before, row.after):
            exposure = None if one.exposure is None else round(one.exposure, 3)
            rate = None if one.rate is None else round(one.rate * per, 4)
            figures += [one.counted, exposure, rate]
        yield [row.conveyor.tag, row.conveyor.name, *figures]


def _cases(page: ComparisonPage) -> Iterator[Row]:
    yield [_("Day"), _("Case"), _("Conveyor"), _("Cause family"), _("Cases so far")]
    zone = page.plant.zone_info
    for so_far, case in enumerate(page.found.cases, start=1):
        family = campaign_words.family_words(case.cause_class) if case.cause_class else ""
        day = case.opened_at.astimezone(zone).date()
        yield [day, case.number, case.conveyor.tag, family, so_far]


FILES: dict[str, Callable[[ComparisonPage], Iterator[Row]]] = {
    "figures": _figures,
    "belts": _belts,
    "cases": _cases,
}
