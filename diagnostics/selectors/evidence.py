"""A case's rows as the engine's evidence."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from diagnostics.case_states import CaseState
from diagnostics.inference.evidence import (
    BeltFacts,
    ConveyorFacts,
    Evidence,
    FindingFact,
    Sighting,
    SpliceFact,
)
from diagnostics.inference.vocabulary import Degree, LoadState, Persistence
from diagnostics.models import Case, Finding, WalkDown
from diagnostics.models import Sighting as SightingRow
from diagnostics.models import TimedLook as TimedLookRow
from diagnostics.selectors.base_rates import priors_of
from diagnostics.selectors.timed_evidence import fact_of, standing_timed_looks
from plant.loop.vocabulary import Run, Side, TakeUpKind
from plant.models import Belt, Conveyor
from plant.selectors.loops import fitted_belt, loop_of

# Width when no belt is registered yet; the page asks the keeper for it. [mm]
USUAL_WIDTH_MM = 1000.0


@dataclass(frozen=True)
class Recorded:
    """The rows of a case that count."""

    sightings: list[SightingRow]
    timed_looks: list[TimedLookRow]
    findings: list[Finding]
    remarks: frozenset[str]


def evidence_of(case: Case) -> Evidence:
    """Everything recorded and not taken back; raises GeometryError while the loop is incomplete."""
    return evidence_from(case, recorded_of(case))


def recorded_of(case: Case) -> Recorded:
    walk_downs = WalkDown.objects.filter(case=case)
    return Recorded(
        sightings=standing_sightings(case),
        timed_looks=standing_timed_looks(case, mended_at_of(case)),
        findings=standing_findings(case),
        remarks=frozenset(remark for walk_down in walk_downs for remark in walk_down.remarks),
    )


def evidence_from(case: Case, recorded: Recorded) -> Evidence:
    """As the engine takes it; raises GeometryError while the loop is incomplete."""
    return Evidence(
        conveyor=facts_of(case.conveyor),
        **seen_in(recorded),
        priors=priors_of(case),
    )


def seen_in(recorded: Recorded) -> dict[str, Any]:
    """What rows say, by the names of `Evidence`."""
    return {
        "sightings": tuple(_sighting(row) for row in recorded.sightings),
        "timed_looks": tuple(fact_of(row) for row in recorded.timed_looks),
        "findings": tuple(
            FindingFact(row.cause, row.is_present, row.place or None) for row in recorded.findings
        ),
        "remarks": recorded.remarks,
    }


def standing_sightings(case: Case) -> list[SightingRow]:
    """Looks that count: not taken back, and of the same station and load only the latest.

    After a failed proof run only what was seen since counts: the belt was changed.
    """
    rows = SightingRow.objects.filter(
        walk_down__case=case, taken_back_at__isnull=True, not_seen_reason=""
    ).order_by("seen_at", "pk")
    since = mended_at_of(case)
    if since is not None and rows.filter(seen_at__gt=since).exists():
        rows = rows.filter(seen_at__gt=since)
    latest = {(row.station.casefold(), row.load, row.is_running_backwards): row for row in rows}
    return sorted(latest.values(), key=lambda row: row.position_m)


def standing_findings(case: Case) -> list[Finding]:
    """Not taken back; what was found wrong before a mend that did not hold is wrong no more."""
    rows = Finding.objects.filter(case=case, taken_back_at__isnull=True)
    mended_at = mended_at_of(case)
    if mended_at is not None:
        rows = rows.exclude(is_present=True, found_at__lte=mended_at)
    return list(rows)


def mended_at_of(case: Case) -> datetime | None:
    """When the last mend that did not hold was done; None while none has failed.

    What was seen on proof was seen after it and counts for what comes next.
    """
    moves = list(case.moves.order_by("at", "pk").values_list("from_state", "to_state", "at"))
    failed = (CaseState.ON_PROOF.value, CaseState.LOOKED_AT.value)
    last = max((place for place, one in enumerate(moves) if one[:2] == failed), default=None)
    if last is None:
        return None
    done = [at for _from, to_state, at in moves[:last] if to_state == CaseState.ON_PROOF]
    return done[-1] if done else moves[last][2]


def facts_of(conveyor: Conveyor) -> ConveyorFacts:
    belt = fitted_belt(conveyor)
    loop = loop_of(conveyor, belt=belt)
    return ConveyorFacts(
        tag=conveyor.tag,
        loop=loop,
        belt=_belt(belt, loop.length_m),
        speed_mps=conveyor.speed_mps,
        clearance_mm=conveyor.clearance_mm,
        centre_distance_m=conveyor.centre_distance_m,
        lift_m=conveyor.lift_m,
        capacity_tph=conveyor.capacity_tph,
        trough_angle_deg=conveyor.trough_angle_deg,
        return_vee_deg=conveyor.return_vee_deg,
        take_up_kind=TakeUpKind(conveyor.take_up_kind),
        take_up_tension_kn=conveyor.take_up_tension_kn,
        is_reversing=conveyor.is_reversing,
        left_words=conveyor.left_words,
        right_words=conveyor.right_words,
    )


def _belt(belt: Belt | None, path_m: float) -> BeltFacts:
    if belt is None:
        return BeltFacts(width_mm=USUAL_WIDTH_MM, length_m=path_m)
    return BeltFacts(
        width_mm=belt.width_mm,
        length_m=belt.length_m,
        carcass=belt.carcass,
        strength_n_mm=belt.strength_n_mm,
        modulus_kn_m=belt.modulus_kn_m,
        mass_kg_m2=belt.mass_kg_m2,
        splices=tuple(SpliceFact(one.name, one.belt_position_m) for one in belt.splices.all()),
    )


def _sighting(row: SightingRow) -> Sighting:
    return Sighting(
        station=row.station,
        run=Run(row.run),
        position_m=row.position_m,
        load=LoadState(row.load),
        offset_mm=row.offset_mm,
        degree=Degree(row.degree) if row.degree else None,
        side=Side(row.side) if row.side else None,
        persistence=Persistence(row.persistence) if row.persistence else None,
        is_running_backwards=row.is_running_backwards,
    )
