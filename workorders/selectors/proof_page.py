"""What was seen before and after the work on an order, and what must be watched."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from diagnostics.inference.vocabulary import LoadState
from diagnostics.models import Sighting
from diagnostics.selectors.loop_ribbon import SeenRow, offset_of, ribbon, seen_words
from diagnostics.walking_cautions import walking_cautions
from plant.loop.parts import GeometryError, Station
from plant.loop.path import Loop
from plant.models import Conveyor
from plant.selectors.drawing import loop_drawing
from plant.selectors.loops import loop_of
from workorders.models import OrderMove, ProofWatch, WorkOrder
from workorders.order_states import OrderState
from workorders.proof_rules import Look, Watched, stations_to_watch


@dataclass(frozen=True)
class Beside:
    """One station in one load state before and after, in words; empty where nobody looked."""

    station: str
    load: LoadState
    before: str
    after: str
    is_off: bool


@dataclass(frozen=True)
class BeforeAndAfter:
    load: LoadState
    before: dict[str, Any]
    after: dict[str, Any]
    rows: list[Beside]


def cautions_to_read(order: WorkOrder) -> list[str]:
    """Those of the work, then those of whoever walks along a running belt; each once."""
    walking = walking_cautions(order.conveyor.plant_id)
    return list(dict.fromkeys([*order.cautions, *walking]))


def watch_going_on(order: WorkOrder) -> ProofWatch | None:
    return ProofWatch.objects.filter(order=order, proof_run__isnull=True).first()


def last_watch(order: WorkOrder) -> ProofWatch | None:
    """The watch that goes on, else the one that ended last."""
    return watch_going_on(order) or ProofWatch.objects.filter(order=order).order_by("pk").last()


def to_watch(order: WorkOrder, loop: Loop | None) -> tuple[Watched, ...]:
    """Nothing for work that no case asked for: nobody saw the belt off centre."""
    if order.case_id is None:
        return ()
    known = [(one.name, one.position_m) for one in loop.stations] if loop else []
    before = looks_of(before_of(order), order.conveyor)
    return stations_to_watch(before, place=order.component, place_m=order.position_m, known=known)


def looks_of(rows: Iterable[SeenRow], conveyor: Conveyor) -> list[Look]:
    return [
        Look(
            row.station,
            row.position_m,
            LoadState(row.load),
            offset_of(row, conveyor.clearance_mm) / conveyor.clearance_mm,
        )
        for row in rows
    ]


def before_of(order: WorkOrder) -> list[Sighting]:
    """The last look at each station and load before the work was done, since an earlier mend."""
    if order.case_id is None:
        return []
    done_at = _done_at(order)
    rows = Sighting.objects.filter(
        walk_down__case_id=order.case_id,
        taken_back_at__isnull=True,
        differs_from__isnull=True,
        not_seen_reason="",
        is_running_backwards=False,
    ).order_by("seen_at", "pk")
    if done_at is not None:
        rows = rows.filter(seen_at__lte=done_at)
        since = _earlier_mend(order, done_at)
        if since is not None and rows.filter(seen_at__gt=since).exists():
            rows = rows.filter(seen_at__gt=since)
    latest = {(row.station.casefold(), row.load): row for row in rows}
    return sorted(latest.values(), key=lambda row: row.position_m)


def before_and_after(order: WorkOrder, watch: ProofWatch) -> BeforeAndAfter | None:
    """Both in the load state that was looked at more after the work; None while nothing was."""
    after = list(watch.looks.all())
    if not after:
        return None
    before = before_of(order)
    conveyor = order.conveyor
    is_loaded = [one.load == LoadState.LOADED for one in after]
    load = LoadState.LOADED if sum(is_loaded) * 2 >= len(after) else LoadState.EMPTY
    loop = loop_or_none(conveyor)
    return BeforeAndAfter(
        load,
        _drawing(before, load, conveyor, loop),
        _drawing(after, load, conveyor, loop),
        _beside(before, after, conveyor),
    )


def loop_or_none(conveyor: Conveyor) -> Loop | None:
    try:
        return loop_of(conveyor)
    except GeometryError:
        return None


def station_named(loop: Loop, name: str) -> Station | None:
    return next((one for one in loop.stations if one.name == name), None)


def _drawing(
    rows: Sequence[SeenRow], load: LoadState, conveyor: Conveyor, loop: Loop | None
) -> dict[str, Any]:
    shown = [one for one in rows if one.load == load]
    return loop_drawing(conveyor, ribbon(shown, conveyor), loop=loop)


def _beside(
    before: Sequence[SeenRow], after: Sequence[SeenRow], conveyor: Conveyor
) -> list[Beside]:
    was = {(one.station, one.load): seen_words(one, conveyor) for one in before}
    return [
        Beside(
            row.station,
            look.load,
            was.get((row.station, row.load), ""),
            seen_words(row, conveyor),
            look.is_off,
        )
        for row, look in zip(after, looks_of(after, conveyor), strict=True)
    ]


def _done_at(order: WorkOrder) -> datetime | None:
    done = OrderMove.objects.filter(order=order, to_state=OrderState.DONE.value)
    return done.order_by("-at", "-pk").values_list("at", flat=True).first()


def _earlier_mend(order: WorkOrder, done_at: datetime) -> datetime | None:
    """When an earlier order of the case was done whose proof run failed."""
    done = OrderMove.objects.filter(
        order__case=order.case,
        order__proof_runs__passed=False,
        to_state=OrderState.DONE.value,
        at__lt=done_at,
    ).exclude(order=order)
    return done.order_by("-at").values_list("at", flat=True).first()
