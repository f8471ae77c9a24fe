"""Conveyors and walks for the engine's tests: smallest believable ones of four kinds."""

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from django.conf import settings

from diagnostics import knowledge_files
from diagnostics.inference.answer import Answer, Suspicion
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evidence import (
    BeltFacts,
    ConveyorFacts,
    Evidence,
    Sighting,
    SpliceFact,
)
from diagnostics.inference.vocabulary import CENTRED_SHARE, Degree, LoadState, Persistence
from plant.loop.parts import Part
from plant.loop.path import build_loop
from plant.loop.vocabulary import ComponentKind, Run, Side, TakeUpKind
from plant.loop.walking import walking_stations

K = ComponentKind


@dataclass(frozen=True)
class Layout:
    """How a test conveyor is laid out; positions follow from lengths and spacings."""

    tag: str
    centre_m: float
    width_mm: float
    carcass: str
    take_up: TakeUpKind
    take_up_kn: float
    capacity_tph: float
    lift_m: float = 0.0
    speed_mps: float = 2.5
    clearance_mm: float = 100.0
    vee_deg: float = 0.0
    take_up_after_m: float | None = None
    self_aligning_every: int = 0
    is_reversing: bool = False


FEEDER = Layout("F1", 45, 800, "EP", TakeUpKind.SCREW, 8, 500, lift_m=4, speed_mps=1.8)
INCLINE = Layout(
    "I1",
    180,
    1000,
    "EP",
    TakeUpKind.GRAVITY,
    35,
    1500,
    lift_m=24,
    take_up_after_m=60,
    self_aligning_every=12,
)
GALLERY = Layout("G1", 260, 1200, "EP", TakeUpKind.GRAVITY, 45, 2000, lift_m=6, take_up_after_m=90)
OVERLAND = Layout(
    "O1",
    900,
    1200,
    "ST",
    TakeUpKind.HORIZONTAL,
    90,
    2500,
    lift_m=15,
    speed_mps=4.0,
    clearance_mm=120,
    vee_deg=10,
    take_up_after_m=200,
    self_aligning_every=40,
)
EVERY_KIND = (FEEDER, INCLINE, GALLERY, OVERLAND)
WITH_TAKE_UP_PULLEY = (INCLINE, GALLERY, OVERLAND)


def conveyor(layout: Layout, **changes: object) -> ConveyorFacts:
    """The conveyor of a layout; `changes` replaces fields of the facts."""
    loop = build_loop(_parts(layout))
    facts: dict[str, object] = {
        "tag": layout.tag,
        "loop": loop,
        "belt": BeltFacts(
            width_mm=layout.width_mm,
            length_m=loop.length_m,
            carcass=layout.carcass,
            strength_n_mm=1600 if layout.carcass == "ST" else 630,
            splices=(SpliceFact("S1", 0.0), SpliceFact("S2", round(loop.length_m * 0.55, 1))),
        ),
        "speed_mps": layout.speed_mps,
        "clearance_mm": layout.clearance_mm,
        "centre_distance_m": layout.centre_m,
        "lift_m": layout.lift_m,
        "capacity_tph": layout.capacity_tph,
        "return_vee_deg": layout.vee_deg,
        "take_up_kind": layout.take_up,
        "take_up_tension_kn": layout.take_up_kn,
        "is_reversing": layout.is_reversing,
    }
    return ConveyorFacts(**{**facts, **changes})


def _parts(layout: Layout) -> list[Part]:
    head_m, vee = layout.centre_m, layout.vee_deg > 0
    parts = [
        Part("LOAD", K.LOAD_POINT, Run.CARRYING, 2.0, length_m=3.0),
        Part("I", K.IMPACT_IDLERS, Run.CARRYING, 1.2, 0.5, 8, is_numbered=True),
        *_idlers("C", Run.CARRYING, 5.7, head_m - 1.0, 1.2, layout.self_aligning_every, False),
        _pulley("HEAD", K.HEAD_PULLEY, Run.CARRYING, head_m, 180, 0, -180),
    ]
    at = head_m + 2.5
    if layout.take_up_after_m is not None:
        bend_m = head_m + layout.take_up_after_m
        parts += _idlers("R", Run.RETURN, at, bend_m - 1.0, 2.4, layout.self_aligning_every, vee)
        parts += [
            _pulley("BEND1", K.BEND_PULLEY, Run.RETURN, bend_m, 90, 180, 270),
            _pulley("TAKEUP", K.TAKE_UP_PULLEY, Run.RETURN, bend_m + 5, 180, 270, 90),
            _pulley("BEND2", K.BEND_PULLEY, Run.RETURN, bend_m + 10.5, 90, 90, 180),
        ]
        at = bend_m + 13
    tail_m = 2 * head_m + (7 if layout.take_up_after_m is not None else 0.5)
    parts += _idlers("T", Run.RETURN, at, tail_m - 1.0, 2.4, layout.self_aligning_every, vee)
    parts.append(_pulley("TAIL", K.TAIL_PULLEY, Run.RETURN, tail_m, 180, 180, 360))
    return parts


def _pulley(
    name: str, kind: ComponentKind, run: Run, at: float, wrap: float, into: float, out: float
) -> Part:
    return Part(name, kind, run, at, diameter_mm=600, wrap_deg=wrap, in_deg=into, out_deg=out)


def _idlers(
    prefix: str, run: Run, start: float, end: float, spacing: float, aligning: int, vee: bool
) -> list[Part]:
    """Groups of `aligning` sets with a self-aligning one between them; one group without."""
    plain = K.TROUGHING_IDLERS if run is Run.CARRYING else K.RETURN_IDLERS
    kind = K.VEE_RETURN_IDLERS if vee and run is Run.RETURN else plain
    left, groups, parts = int((end - start) / spacing) + 1, 0, []
    while left > 0:
        groups += 1
        count = min(aligning or left, left)
        name = f"{prefix}{groups}-"
        parts.append(Part(name, kind, run, start, spacing, count, is_numbered=True))
        start, left = start + count * spacing, left - count
        if aligning and left > 1:
            name = f"SA-{prefix}{groups}"
            parts.append(Part(name, K.SELF_ALIGNING_IDLER, run, start, spacing))
            start, left = start + spacing, left - 1
    return parts


def walk(
    facts: ConveyorFacts,
    onset_m: float,
    *,
    side: Side = Side.RIGHT,
    reach_m: float | None = None,
    loads: tuple[LoadState, ...] = (LoadState.LOADED,),
    said: Persistence | None = Persistence.STEADY,
    about: int | None = None,
) -> tuple[Sighting, ...]:
    """Centred up to the onset, half over from there, fading out over `reach_m`.

    The first station at or past the onset is the first one off. A long belt is looked at at more
    stations, and the fault reaches over several of them.
    """
    reach_m = reach_m or max(40.0, facts.loop.length_m / 15)
    about = about or max(45, round(facts.loop.length_m / 15))
    found = []
    for load in loads:
        for station in walking_stations(facts.loop, about=about):
            way = facts.loop.ahead_m(onset_m, station.position_m)
            share = 0.6 if way < reach_m / 2 else 0.28 if way < reach_m else 0.0
            found.append(sighting(station.name, facts, load, share, side, said))
    return tuple(found)


def sighting(
    station: str,
    facts: ConveyorFacts,
    load: LoadState,
    share: float,
    side: Side,
    said: Persistence | None,
) -> Sighting:
    """A degree at a named station; `share` of the clearance."""
    found = facts.loop.station_named(station)
    assert found is not None, station
    degree = (
        Degree.CENTRED if share < CENTRED_SHARE else Degree.SLIGHT if share < 0.4 else Degree.HALF
    )
    is_off = degree is not Degree.CENTRED
    return Sighting(
        found.name,
        found.run,
        found.position_m,
        load,
        degree=degree,
        side=side if is_off else None,
        persistence=said if is_off else None,
    )


def evidence(
    facts: ConveyorFacts, sightings: tuple[Sighting, ...] = (), **more: object
) -> Evidence:
    return Evidence(conveyor=facts, sightings=sightings, **more)


@cache
def knowledge() -> Knowledge:
    """Catalogue and rules as they are delivered."""
    return knowledge_files.load(Path(settings.BASE_DIR) / "fixtures").knowledge


def first_of_classes(answer: Answer, count: int = 3) -> list[Suspicion]:
    """The best suspicion of each of the first classes: what a person is shown first."""
    best: dict[str, Suspicion] = {}
    for one in answer.ranked:
        best.setdefault(one.cause_class, one)
    return list(best.values())[:count]


def mirrored(sightings: tuple[Sighting, ...]) -> tuple[Sighting, ...]:
    return tuple(
        replace(
            one,
            side=None if one.side is None else one.side.opposite,
            offset_mm=None if one.offset_mm is None else -one.offset_mm,
        )
        for one in sightings
    )
