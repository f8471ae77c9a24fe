"""Belts, families and the plant compared with the year before, on one exposure for all.

A case counts where its belt's clock is known, so that cases and exposure are of the same time.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from diagnostics.selectors import usual_exposure
from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock
from plant.models import Conveyor
from plant.selectors.exposures import SHARE_OF_TIME, clocks_of
from workorders.month_report.changes import Change, Counted, changes_of
from workorders.month_report.figures import Compared
from workorders.selectors.month_report.cases import CaseRow
from workorders.selectors.month_report.span import Span


@dataclass(frozen=True)
class _Period:
    """What is known of a period: each belt's exposure, and the cases in that time; `first` is when
    the watching of any belt began in it."""

    exposures: Mapping[int, float]
    cases: Sequence[CaseRow]
    left_out: int
    first: datetime | None

    @property
    def exposure(self) -> float:
        return sum(self.exposures.values())


def compared_of(rows: Sequence[CaseRow], span: Span) -> Compared:
    """A fixed number of queries, however many belts and cases there are."""
    belts = Conveyor.objects.filter(plant=span.plant)
    basis = usual_exposure.usual_of(span.plant, span.now)

    def period(first: datetime, last: datetime) -> _Period:
        within = [row for row in rows if first <= row.opened_at < last]
        return _period(clocks_of(belts, first, last, basis), within)

    earlier, later = (
        period(span.earlier_first, span.later_first),
        period(span.later_first, span.end),
    )
    return Compared(
        plant=_plant(period(span.year_before, span.first), period(span.first, span.end)),
        belts=tuple(_by_belt(earlier, later, dict(belts.values_list("pk", "tag")))),
        families=tuple(_by_family(earlier, later)),
        basis=basis.value,
        left_out=earlier.left_out + later.left_out,
        record_begins=_begins(span, earlier, later),
    )


def unmetered(span: Span, belts: Collection[int]) -> int:
    """How many of the belts have running hours for too little of the months that are compared."""
    seen = Conveyor.objects.filter(pk__in=belts)
    clocks = clocks_of(seen, span.later_first, span.end, Basis.RUNNING).values()
    most = 1 - SHARE_OF_TIME
    return sum(clock.unknown_days > most * clock.watched_days for clock in clocks)


def _begins(span: Span, *periods: _Period) -> str:
    """The plant's day on which its record begins; empty where it is older than what is compared."""
    first = next((one.first for one in periods if one.first is not None), None)
    if first is None or first <= span.earlier_first:
        return ""
    return span.plant.day_of(first).isoformat()


def _period(clocks: Mapping[int, BeltClock], cases: Sequence[CaseRow]) -> _Period:
    by_belt: dict[int, list[CaseRow]] = defaultdict(list)
    for row in cases:
        by_belt[row.conveyor_id].append(row)
    known: list[CaseRow] = []
    for belt, own in by_belt.items():
        clock = clocks.get(belt)
        if clock is not None:
            shown = np.isfinite(clock.at_many([row.opened_at for row in own]))
            known += [row for row, is_known in zip(own, shown, strict=True) if is_known]
    exposures = {belt: clock.total for belt, clock in clocks.items() if clock.total > 0}
    first = min((clock.first for clock in clocks.values()), default=None)
    return _Period(exposures, known, len(cases) - len(known), first)


def _plant(earlier: _Period, later: _Period) -> Change:
    counted = Counted("", len(earlier.cases), len(later.cases), earlier.exposure, later.exposure)
    return changes_of([counted])[0]


def _by_belt(earlier: _Period, later: _Period, tags: Mapping[int, str]) -> list[Change]:
    """Belts with a case in either period."""
    before = Counter(row.conveyor_id for row in earlier.cases)
    after = Counter(row.conveyor_id for row in later.cases)
    return changes_of(
        [
            Counted(
                tags[belt],
                before[belt],
                after[belt],
                earlier.exposures.get(belt),
                later.exposures.get(belt),
            )
            for belt in sorted(before | after, key=lambda belt: tags[belt])
        ]
    )


def _by_family(earlier: _Period, later: _Period) -> list[Change]:
    """Of all belts together; cases without a known cause are no family."""
    before = Counter(row.family for row in earlier.cases)
    after = Counter(row.family for row in later.cases)
    return changes_of(
        [
            Counted(family, before[family], after[family], earlier.exposure, later.exposure)
            for family in sorted(before | after)
            if family
        ]
    )
