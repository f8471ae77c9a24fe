"""Cases of chosen belts before and after, beside the plant's other belts; fixed queries."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from django.db.models import QuerySet

from diagnostics.models import Case
from diagnostics.recurrence.beside_others import Counted, compare_with_others
from diagnostics.recurrence.change_points import ChangePoint, find_change
from diagnostics.recurrence.expected_anyway import ExpectedAnyway, expected_anyway
from diagnostics.recurrence.histories import histories_of
from diagnostics.recurrence.periods import Comparison, compare_periods
from diagnostics.selectors import case_rates
from diagnostics.selectors.case_rates import CaseRate, Clocks
from diagnostics.selectors.trends import Period, cases_in
from plant.metering.basis import Basis
from plant.models import Conveyor
from workorders.selectors.campaign_periods import Periods

LEVEL = 0.90
_DAY_S = 86_400.0


@dataclass(frozen=True)
class Side:
    """All chosen belts in one period: cases whose exposure is known, and those left out."""

    period: Period
    belts: int
    cases: int
    exposure: float
    left_out: int

    @property
    def rate(self) -> float | None:
        """Cases for each unit of exposure."""
        return self.cases / self.exposure if self.exposure > 0 else None


@dataclass(frozen=True)
class Compared:
    """Some belts before and after; `ratio` None where a period has no exposure."""

    before: Side
    after: Side
    ratio: Comparison | None


@dataclass(frozen=True)
class BeltRow:
    conveyor: Conveyor
    before: CaseRate
    after: CaseRate


@dataclass(frozen=True)
class BeforeAfter:
    """`others` None where all belts were chosen; `beside` is the chosen belts' ratio over theirs,
    None where it cannot be told; `anyway` and `change` None where they cannot be
    told. `cases` are those of the chosen belts from the first to the last day, oldest first;
    `causeless` counts those before and after whose family nobody has confirmed yet.

    The change point counts calendar days; all else the exposure of `basis`.
    """

    periods: Periods
    basis: Basis
    chosen: Compared
    others: Compared | None
    beside: Comparison | None
    anyway: ExpectedAnyway | None
    change: ChangePoint | None
    # Instant that a day of the change point counts from.
    begins_at: datetime | None
    belts: list[BeltRow]
    cases: list[Case]
    causeless: tuple[int, int] = (0, 0)


def before_after(
    belts: QuerySet[Conveyor],
    all_belts: QuerySet[Conveyor],
    cases: QuerySet[Case],
    periods: Periods,
    asked: Basis | None,
    now: datetime,
) -> BeforeAfter:
    """`all_belts` of one plant hold the chosen `belts`; `cases` are all that may be seen."""
    basis, clocks = _clocks(all_belts, periods, asked, now)
    every = list(all_belts.order_by("tag"))
    keys = [one.pk for one in every]
    rates = [
        case_rates.rates_of(cases, period, own, keys)
        for period, own in zip((periods.before, periods.after), clocks, strict=True)
    ]
    picked = set(belts.values_list("pk", flat=True))
    rest = [pk for pk in keys if pk not in picked]
    mine = [pk for pk in keys if pk in picked]
    chosen = _compared(periods, rates, mine)
    others = _compared(periods, rates, rest) if rest else None
    found = list(
        cases_in(cases, periods.whole)
        .filter(conveyor__in=mine)
        .select_related("conveyor__plant")
        .order_by("opened_at", "pk")
    )
    change, begins_at = _change(belts, periods.whole, found, now)
    return BeforeAfter(
        periods=periods,
        basis=basis,
        chosen=chosen,
        others=others,
        beside=_beside(chosen, others),
        anyway=_anyway(rates, keys, picked, chosen.after.cases),
        change=change,
        begins_at=begins_at,
        belts=[
            BeltRow(one, rates[0][one.pk], rates[1][one.pk]) for one in every if one.pk in picked
        ],
        cases=found,
        causeless=_causeless(cases, periods, mine),
    )


def _causeless(cases: QuerySet[Case], periods: Periods, belts: list[int]) -> tuple[int, int]:
    """Only where a family was asked for: without one they are counted."""
    if not periods.before.family:
        return 0, 0
    unsaid = cases.filter(conveyor__in=belts, cause_class="")
    before, after = (
        cases_in(unsaid, Period(one.first, one.last)).count()
        for one in (periods.before, periods.after)
    )
    return before, after


def _clocks(
    belts: QuerySet[Conveyor], periods: Periods, asked: Basis | None, now: datetime
) -> tuple[Basis, tuple[Clocks, Clocks]]:
    """Both periods on one basis."""
    basis, before = case_rates.clocks_in(belts, periods.before, asked, now)
    _same, after = case_rates.clocks_in(belts, periods.after, basis, now)
    return basis, (before, after)


def compared_of(periods: Periods, rates: list[dict[int, CaseRate]]) -> Compared:
    """All the belts of the two periods' rates together."""
    return _compared(periods, rates, rates[0])


def _compared(
    periods: Periods, rates: list[dict[int, CaseRate]], belts: Collection[int]
) -> Compared:
    before = _side(periods.before, (rates[0][pk] for pk in belts))
    after = _side(periods.after, (rates[1][pk] for pk in belts))
    if not (before.exposure > 0 and after.exposure > 0):
        return Compared(before, after, None)
    ratio = compare_periods(before.cases, before.exposure, after.cases, after.exposure, level=LEVEL)
    return Compared(before, after, ratio)


def _beside(chosen: Compared, others: Compared | None) -> Comparison | None:
    if others is None or chosen.ratio is None or others.ratio is None:
        return None
    mine, theirs = (
        Counted(one.before.cases, one.before.exposure, one.after.cases, one.after.exposure)
        for one in (chosen, others)
    )
    return compare_with_others(mine, theirs, level=LEVEL)


def _side(period: Period, rates: Iterable[CaseRate]) -> Side:
    known = [one for one in rates if one.cases or one.exposure]
    return Side(
        period,
        belts=sum(1 for one in known if one.exposure),
        cases=sum(one.counted for one in known),
        exposure=sum(one.exposure or 0.0 for one in known),
        left_out=sum(one.left_out for one in known),
    )


def _anyway(
    rates: list[dict[int, CaseRate]], keys: list[int], picked: set[int], observed: int
) -> ExpectedAnyway | None:
    """Only belts with exposure before tell what a record like theirs leads to."""
    known = [pk for pk in keys if rates[0][pk].exposure]
    later = [(rates[1][pk].exposure or 0.0) if pk in picked else 0.0 for pk in known]
    # A chosen belt that is new has no record, and its cases none to be held against.
    new = sum(rates[1][pk].counted for pk in picked if not rates[0][pk].exposure)
    return expected_anyway(
        [rates[0][pk].counted for pk in known],
        [rates[0][pk].exposure for pk in known],
        later,
        observed - new,
        level=LEVEL,
    )


def _change(
    belts: QuerySet[Conveyor], whole: Period, cases: list[Case], now: datetime
) -> tuple[ChangePoint | None, datetime | None]:
    """Anywhere from the first to the last day, for a change may come before a campaign, too."""
    _basis, clocks = case_rates.clocks_in(belts, whole, Basis.CALENDAR, now)
    if not clocks:
        return None, None
    place = {pk: number for number, pk in enumerate(clocks)}
    start = min(clock.first for clock in clocks.values())
    entry = np.array([(one.first - start).total_seconds() for one in clocks.values()]) / _DAY_S
    end = np.array([(one.last - start).total_seconds() for one in clocks.values()]) / _DAY_S
    at = [
        (place[case.conveyor_id], (case.opened_at - start).total_seconds() / _DAY_S)
        for case in cases
        if case.conveyor_id in place
    ]
    inside = [(unit, time) for unit, time in at if entry[unit] < time <= end[unit]]
    histories = histories_of(
        [unit for unit, _time in inside], [time for _unit, time in inside], end=end, entry=entry
    )
    return find_change(histories, level=LEVEL), start
