"""The table of belts on the trend page: cases, repeats, exposure and rate; also as a file."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from diagnostics import trend_exposure
from diagnostics.models import Case
from diagnostics.selectors import case_rates, trends
from diagnostics.selectors.case_rates import CaseRate, Clocks
from diagnostics.selectors.trends import BeltCount, Period
from diagnostics.trend_exposure import ExposureSaid
from plant import exposure_words
from plant.metering.basis import Basis
from plant.models import Conveyor


@dataclass(frozen=True)
class BeltRow:
    count: BeltCount
    found: CaseRate
    basis: Basis

    @property
    def exposure(self) -> str:
        known = self.found.exposure
        return "" if known is None else exposure_words.amount_words(known, self.basis)

    @property
    def rate(self) -> str:
        rate = self.found.rate
        return "" if rate is None else exposure_words.rate_figure(rate, self.basis)

    @property
    def limits(self) -> str:
        return trend_exposure.limits(self.found, self.basis)

    @property
    def why(self) -> str:
        """Why there is no rate."""
        return trend_exposure.no_rate(self.found)


@dataclass(frozen=True)
class BeltTable:
    """Belts with cases, those with most repeats first."""

    basis: Basis
    clocks: Clocks
    rows: Sequence[BeltRow]

    @property
    def rate_heading(self) -> str:
        return exposure_words.rate_heading(self.basis)

    def said(self, *, is_chosen: bool) -> ExposureSaid:
        rates = [row.found for row in self.rows]
        return trend_exposure.of_belts(self.basis, self.clocks.values(), rates, is_chosen=is_chosen)

    def file(self) -> tuple[list[str], Iterator[list[Any]]]:
        """Header and rows."""
        header = [
            _("plant"),
            _("conveyor"),
            _("name"),
            _("cases"),
            _("repeats"),
            _("exposure"),
            _("unit"),
            _("days not known"),
            _("cases left out"),
            self.rate_heading,
            _("at least (90 %)"),
            _("at most (90 %)"),
        ]
        return header, map(_file_row, self.rows)


def table_of(
    conveyors: QuerySet[Conveyor],
    cases: QuerySet[Case],
    period: Period,
    asked: Basis | None,
    now: datetime,
) -> BeltTable:
    basis, clocks = case_rates.clocks_in(conveyors, period, asked, now)
    counts = trends.belts_of(cases, period)
    rates = case_rates.rates_of(cases, period, clocks, [one.conveyor for one in counts])
    return BeltTable(basis, clocks, [BeltRow(one, rates[one.conveyor], basis) for one in counts])


def _file_row(row: BeltRow) -> list[Any]:
    count, found, per = row.count, row.found, row.basis.rate_per
    figures = [found.rate, *(found.limits or (None, None))]
    return [
        count.plant_code,
        count.tag,
        count.name,
        count.cases,
        count.repeats,
        None if found.exposure is None else round(found.exposure, 3),
        row.basis.unit,
        None if found.clock is None else round(found.clock.unknown_days, 3),
        found.left_out,
        *(None if figure is None else round(figure * per, 4) for figure in figures),
    ]
