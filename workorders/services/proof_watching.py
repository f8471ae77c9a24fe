"""Keeping what is seen after the work, station by station, until a verdict is given."""

import uuid
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from diagnostics.inference.vocabulary import Degree, LoadState, Persistence
from diagnostics.services import walking
from plant.errors import DomainError
from plant.loop.vocabulary import Run, Side
from plant.models import User
from workorders.models import ProofLook, ProofRun, ProofWatch, WorkOrder
from workorders.proof_rules import Verdict, verdict
from workorders.selectors import proof_page

_NAMESPACE = uuid.UUID("2f0a0f52-7a75-4d0e-9d0c-5f1e0f1c9a11")


class UnknownProofStation(DomainError):
    code = "unknown_proof_station"


@dataclass(frozen=True)
class NewLook:
    """In the one convention: sides as in the register, offsets positive to the right. [mm]"""

    station: str
    load: LoadState
    offset_mm: float | None = None
    degree: Degree | None = None
    side: Side | None = None
    persistence: Persistence | None = None


@dataclass(frozen=True)
class Seen:
    """What a person saw in one go; turns are of the whole watch so far."""

    looks: tuple[NewLook, ...] = ()
    revolutions_empty: int = 0
    revolutions_loaded: int = 0
    note: str = ""


def keep(order: WorkOrder, seen: Seen, *, by: User | None, now: datetime) -> ProofWatch:
    """Keep what was seen so far; the caller holds the order's lock and transaction.

    Refuses with UnknownProofStation.
    """
    watch = ProofWatch.objects.filter(order=order, proof_run__isnull=True).first()
    if watch is None:
        watch = ProofWatch.objects.create(order=order, begun_at=now, begun_by=by)
    watch.revolutions_empty = seen.revolutions_empty
    watch.revolutions_loaded = seen.revolutions_loaded
    watch.note = seen.note.strip()
    watch.save()
    _keep_looks(order, watch, seen.looks, by=by, now=now)
    return watch


def verdict_of(order: WorkOrder, watch: ProofWatch | None) -> Verdict:
    """What the looks of a watch say about the order; of no watch, what is still to be watched."""
    loop = proof_page.loop_or_none(order.conveyor)
    rows = list(watch.looks.all()) if watch else []
    turns = {
        LoadState.EMPTY: watch.revolutions_empty if watch else 0,
        LoadState.LOADED: watch.revolutions_loaded if watch else 0,
    }
    looks = proof_page.looks_of(rows, order.conveyor)
    return verdict(proof_page.to_watch(order, loop), looks, turns)


def end(watch: ProofWatch, run: ProofRun, *, is_against_looks: bool) -> None:
    watch.proof_run, watch.is_against_looks = run, is_against_looks
    watch.save(update_fields=["proof_run", "is_against_looks"])


def hand_on(order: WorkOrder, watch: ProofWatch, *, by: User | None, now: datetime) -> None:
    """What was seen on a failed proof run is the first evidence of the next look: a walk-down."""
    looks = list(watch.looks.order_by("seen_at", "position_m"))
    if not looks or order.case_id is None:
        return
    how = walking.Pass(load=LoadState(looks[-1].load), note=_said(order, watch))
    begun = walking.begin_walk_down(
        case_id=order.case_id,
        how=how,
        # The proof run's page shows them above what is filled in.
        cautions_read=True,
        by=by,
        now=now,
        started_at=looks[0].seen_at,
    )
    for look in looks:
        # The belt may have been shortened since; what was seen beyond its end stays with the run.
        with suppress(walking.OffTheLoop):
            walking.record_sighting(
                walk_down_id=begun.pk,
                seen=_seen(look),
                by=look.seen_by,
                now=now,
                client_id=_client_id(order, look),
                seen_at=look.seen_at,
            )
    walking.finish_walk_down(walk_down_id=begun.pk, now=now)


def _keep_looks(
    order: WorkOrder,
    watch: ProofWatch,
    looks: Iterable[NewLook],
    *,
    by: User | None,
    now: datetime,
) -> None:
    loop = proof_page.loop_or_none(order.conveyor)
    kept = {(one.station, one.load): one for one in watch.looks.all()}
    for new in looks:
        station = proof_page.station_named(loop, new.station) if loop else None
        if station is None:
            raise UnknownProofStation(
                _("%(station)s is no station of this conveyor any more. Open the page again.")
                % {"station": new.station}
            )
        row = kept.get((new.station, new.load.value))
        if row is not None and _says(row) == _says(new):
            # Sent again with the rest of the page: it was seen when it was first kept.
            continue
        ProofLook.objects.update_or_create(
            watch=watch,
            station=station.name,
            load=new.load.value,
            defaults={
                "run": station.run.value,
                "position_m": station.position_m,
                "offset_mm": new.offset_mm,
                "degree": new.degree.value if new.degree else "",
                "side": new.side.value if new.side else "",
                "persistence": new.persistence.value if new.persistence else "",
                "seen_at": now,
                "seen_by": by,
            },
        )


def _says(look: ProofLook | NewLook) -> tuple[object, ...]:
    return (look.offset_mm, look.degree or "", look.side or "", look.persistence or "")


def _seen(look: ProofLook) -> walking.Seen:
    return walking.Seen(
        station=look.station,
        run=Run(look.run),
        position_m=look.position_m,
        load=LoadState(look.load),
        offset_mm=look.offset_mm,
        degree=Degree(look.degree) if look.degree else None,
        side=Side(look.side) if look.side else None,
        persistence=Persistence(look.persistence) if look.persistence else None,
    )


def _client_id(order: WorkOrder, look: ProofLook) -> uuid.UUID:
    """The same for the same look, so that it is one sighting however often it is handed on."""
    told = f"{order.number} {look.station} {look.load} {look.seen_at.isoformat()}"
    return uuid.uuid5(_NAMESPACE, told)


def _said(order: WorkOrder, watch: ProofWatch) -> str:
    said = _("Proof run of %(number)s.") % {"number": order.number}
    return f"{said} {watch.note}".strip()
