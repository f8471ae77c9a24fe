"""Proposals as pages show them: places with their orders, what is left out, how far one is."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils.functional import Promise

from plant.models import Plant
from workorders import plan_words
from workorders.models import Crew, OutageWindow, PlanRun, WorkOrder
from workorders.plan_result import CHANGES, Mark, Row
from workorders.planning.outages.minutes import instant_of
from workorders.planning.outages.plan import Placement
from workorders.planning.outages.proposal import Aim, Objective

_QUIET = timedelta(seconds=20)


@dataclass(frozen=True)
class PlaceShown:
    window: str
    crew: str
    starts_at: datetime
    ends_at: datetime


@dataclass(frozen=True)
class RowShown:
    """`order` is None when it is no more."""

    number: str
    order: WorkOrder | None
    mark: Mark
    now: PlaceShown | None
    then: PlaceShown | None
    has_changed: bool
    is_late: bool

    @property
    def words(self) -> str | Promise:
        return plan_words.MARK_WORDS[self.mark]

    @property
    def is_change(self) -> bool:
        return self.mark in CHANGES

    @property
    def place(self) -> PlaceShown | None:
        return self.then or self.now


@dataclass(frozen=True)
class LeftOutShown:
    number: str
    order: WorkOrder | None
    why: str


@dataclass(frozen=True)
class AimShown:
    words: str | Promise
    help: str | Promise
    value: str
    bound: str
    gap: float | None
    is_proved: bool


def runs_of(plant: Plant) -> QuerySet[PlanRun]:
    return (
        PlanRun.objects.filter(plant=plant)
        .select_related("plant", "asked_by", "taken_by")
        .defer("result", "taken")
    )


def standing_run(plant: Plant) -> PlanRun | None:
    """The one that is worked out, or waits for a decision."""
    waiting = (PlanRun.State.OWED, PlanRun.State.PROPOSED)
    return runs_of(plant).filter(state__in=waiting).order_by("state").first()


def is_silent(run: PlanRun, now: datetime) -> bool:
    return run.worked_at is not None and run.worked_at < now - _QUIET


def rows_wanted(run: PlanRun, kind: str) -> list[Row]:
    """Of a proposal, those of one mark; all that change without one; "all" for the whole plan."""
    rows = [Row.from_json(one) for one in (run.result or {}).get("rows", ())]
    if kind == "all":
        return rows
    if kind in set(Mark):
        return [row for row in rows if row.mark == kind]
    return [row for row in rows if row.mark in CHANGES]


def counts_by_mark(run: PlanRun) -> dict[Mark, int]:
    counts = dict.fromkeys(Mark, 0)
    for one in (run.result or {}).get("rows", ()):
        counts[Mark(one["mark"])] += 1
    return counts


def rows_shown(run: PlanRun, rows: Sequence[Row]) -> list[RowShown]:
    """A fixed number of queries, however many rows."""
    orders = _orders(run, [row.order for row in rows])
    windows, crews = _names(run, [one for row in rows for one in (row.now, row.then) if one])
    late = set((run.result or {}).get("late", ()))

    def place(one: Placement | None) -> PlaceShown | None:
        if one is None:
            return None
        window = windows.get(int(one.window), "?") if one.window is not None else ""
        starts_at, ends_at = instant_of(one.span.starts), instant_of(one.span.ends)
        return PlaceShown(window, crews.get(int(one.crew), "?"), starts_at, ends_at)

    def shown(row: Row) -> RowShown:
        order = orders.get(row.order)
        has_changed = run.is_proposed and (order is None or order.version != row.version)
        now, then = place(row.now), place(row.then)
        is_late = row.order in late
        return RowShown(row.order, order, row.mark, now, then, has_changed, is_late)

    return [shown(row) for row in rows]


def left_out_shown(run: PlanRun, left_out: Sequence[Mapping[str, Any]]) -> list[LeftOutShown]:
    orders = _orders(run, [one["job"] for one in left_out])
    zone = run.plant.zone_info
    return [
        LeftOutShown(one["job"], orders.get(one["job"]), plan_words.reason_words(one, zone))
        for one in left_out
    ]


def left_out_of(run: PlanRun) -> list[dict[str, Any]]:
    return list((run.result or {}).get("left_out", ()))


def aims_shown(run: PlanRun) -> list[AimShown]:
    """What was reached, or of one that is worked out what there is so far."""
    if run.result:
        return [
            _aim(Aim(one["aim"]), one["value"], one["bound"]) for one in run.result["objectives"]
        ]
    told = run.progress.get("aims", {})
    return [
        _aim(aim, told[aim]["best"], told[aim]["bound"])
        for aim in Aim
        if aim in told and told[aim]["best"] is not None
    ]


def _aim(aim: Aim, value: int, bound: int | None) -> AimShown:
    reached = None if bound is None else Objective(aim, value, min(bound, value))
    return AimShown(
        words=plan_words.AIM_WORDS[aim],
        help=plan_words.AIM_HELP[aim],
        value=plan_words.figure_words(aim, value),
        bound="" if reached is None else plan_words.figure_words(aim, reached.bound),
        gap=None if reached is None else reached.gap,
        is_proved=reached is not None and reached.is_proved,
    )


def _orders(run: PlanRun, numbers: Collection[str]) -> dict[str, WorkOrder]:
    rows = WorkOrder.objects.filter(number__in=numbers, conveyor__plant=run.plant_id)
    return {one.number: one for one in rows.select_related("conveyor")}


def _names(run: PlanRun, places: Sequence[Placement]) -> tuple[dict[int, str], dict[int, str]]:
    # A plant keeps the windows of all its years; only those that are spoken of are read.
    keys = {int(one.window) for one in places if one.window is not None}
    windows = OutageWindow.objects.filter(plant=run.plant_id, pk__in=keys)
    crews = Crew.objects.filter(plant=run.plant_id)
    return dict(windows.values_list("pk", "name")), dict(crews.values_list("pk", "name"))
