"""Mends of a period with what they are compared by; a fixed number of queries.

What mends are grouped by says something about the mend, the fault or the belt, never about who did
the work: the same crew is called to the belts that are worst.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from django.db.models import Min, QuerySet

from diagnostics.recurrence.holding import HeldMend
from diagnostics.selectors.trends import Period, in_days
from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock
from plant.models import Conveyor
from plant.selectors import exposures
from workorders.models import WorkOrder
from workorders.selectors import fix_lives
from workorders.selectors.fix_lives import FixLife

# Rise over centre distance from which a belt counts as inclined; engineering judgement.
_INCLINED = 0.05
# A return on the very instant of the proof still needs a duration above 0. [d]
_LEAST_DAYS = 1 / 1440
_DAY_H = 24.0


class GroupedBy(StrEnum):
    METHOD = "method"
    FAMILY = "family"
    ZONE = "zone"
    RISE = "rise"
    TAKE_UP = "take-up"
    TURN = "turn"


class Rise(StrEnum):
    REVERSING = "reversing"
    INCLINED = "inclined"
    LEVEL = "level"


class Turn(StrEnum):
    FIRST = "first"
    AGAIN = "again"


@dataclass(frozen=True)
class Mend:
    """A proved order of a case and how long it held, or was watched while it held.

    `held_days` are calendar days or running hours by 24, over no more than the plant's window;
    `came_back` False also where a gap of the meter ended the watching before.
    """

    order: WorkOrder
    life: FixLife
    group: str
    held_days: float
    came_back: bool


@dataclass(frozen=True)
class Mends:
    """`failed_on_proof` counts orders by group; their mends never began to hold.

    `unmetered` mends are left out, for the meter was not read when they were proved; `cut_short`
    are those whose watching a gap of the meter ended.
    """

    basis: Basis
    rows: list[Mend]
    failed_on_proof: Counter[str]
    unmetered: int = 0
    cut_short: int = 0

    def to_compare(self, by: GroupedBy) -> list[HeldMend]:
        """Within each cause family, unless families are what is compared."""
        return [
            HeldMend(
                group=mend.group,
                stratum="" if by is GroupedBy.FAMILY else mend.life.cause_class,
                held=mend.held_days,
                came_back=mend.came_back,
            )
            for mend in self.rows
        ]


def mends_of(
    orders: QuerySet[WorkOrder],
    period: Period,
    by: GroupedBy,
    now: datetime,
    basis: Basis = Basis.CALENDAR,
) -> Mends:
    """Mends whose proof passed in the period, and those that failed their proof in it."""
    if period.family:
        orders = orders.filter(case__cause_class=period.family)
    key = _KEYS[by]
    proved = list(
        fix_lives.proved_orders(orders).filter(in_days(period, "proved_at", "conveyor__plant"))
    )
    lives = [(row, fix_lives.life_in(row, now)) for row in proved]
    if basis is Basis.RUNNING:
        clocks = _clocks(lives, now)
        held = [_run(life, clocks.get(life.conveyor_id), now) for _row, life in lives]
    else:
        held = [_lasted(life, now) for _row, life in lives]
    rows = [
        Mend(row, life, key(row), max(one.days, _LEAST_DAYS), one.came_back)
        for (row, life), one in zip(lives, held, strict=True)
        if one is not None
    ]
    cut_short = sum(mend.life.came_back and not mend.came_back for mend in rows)
    failed = _failed(orders, period, key)
    return Mends(basis, rows, failed, len(proved) - len(rows), cut_short)


@dataclass(frozen=True)
class _Held:
    days: float
    came_back: bool


def _lasted(life: FixLife, now: datetime) -> _Held:
    """On the calendar."""
    held = _watched_until(life, now) - life.proved_at
    return _Held(held.total_seconds() / 86_400, life.came_back)


def _run(life: FixLife, clock: BeltClock | None, now: datetime) -> _Held | None:
    """By the meter; watched until its first gap. None where it was not read at the proof."""
    begun = None if clock is None else clock.at(life.proved_at)
    if clock is None or begun is None:
        return None
    until = _watched_until(life, now)
    gap = next((one for one in clock.gaps if life.proved_at <= one.first < until), None)
    ended = clock.at(until if gap is None else gap.first)
    if ended is None:
        return None
    return _Held((ended - begun) / _DAY_H, life.came_back and gap is None)


def _clocks(lives: list[tuple[WorkOrder, FixLife]], now: datetime) -> dict[int, BeltClock]:
    if not lives:
        return {}
    belts = Conveyor.objects.filter(pk__in={life.conveyor_id for _row, life in lives})
    first = min(life.proved_at for _row, life in lives)
    return exposures.clocks_of(belts, min(first, now), now, Basis.RUNNING)


def _failed(
    orders: QuerySet[WorkOrder], period: Period, key: Callable[[WorkOrder], str]
) -> Counter[str]:
    """Orders by group that failed a proof run in the period; each once."""
    rows = (
        orders.filter(case__isnull=False, proof_runs__passed=False)
        .annotate(failed_at=Min("proof_runs__at"))
        .filter(in_days(period, "failed_at", "conveyor__plant"))
        .select_related("case", "conveyor__plant")
    )
    return Counter(key(row) for row in rows)


def _watched_until(life: FixLife, now: datetime) -> datetime:
    return max(life.proved_at, min(life.watched_until, now))


def rise_of(conveyor: Conveyor) -> Rise:
    if conveyor.is_reversing:
        return Rise.REVERSING
    is_inclined = abs(conveyor.lift_m) >= _INCLINED * conveyor.centre_distance_m
    return Rise.INCLINED if is_inclined else Rise.LEVEL


def _family(order: WorkOrder) -> str:
    return order.case.cause_class if order.case else ""


def _turn(order: WorkOrder) -> str:
    is_again = order.case is not None and order.case.repeat_of_id is not None
    return (Turn.AGAIN if is_again else Turn.FIRST).value


_KEYS: dict[GroupedBy, Callable[[WorkOrder], str]] = {
    GroupedBy.METHOD: lambda order: order.work_method,
    GroupedBy.FAMILY: _family,
    GroupedBy.ZONE: lambda order: order.zone,
    GroupedBy.RISE: lambda order: rise_of(order.conveyor).value,
    GroupedBy.TAKE_UP: lambda order: order.conveyor.take_up_kind,
    GroupedBy.TURN: _turn,
}
