"""A walk along the belt, station by station, and the close looks that follow it."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from diagnostics.models import Case, Finding, Sighting, WalkDown
from diagnostics.services import findings, walking
from plant.loop.parts import Station
from plant.loop.path import Loop
from plant.loop.walking import in_walking_order, walking_stations
from plant.models import User
from plant.roles import Role
from workorders.services.demo_history.eyes import Eye, Going, Seen
from workorders.services.demo_history.response import Shape, TrueCause, offset_mm
from workorders.services.demo_history.scene import CaseScene

# One station in so many cannot be seen.
_UNSEEN = 0.025


@dataclass(frozen=True)
class Walk:
    """How a walk-down is made: about so many stations, None for the whole route; `share` of it
    walked before it is broken off; how much of the trouble is left."""

    passes: tuple[Going, ...]
    stations: int | None = None
    share: float = 1.0
    share_of_trouble: float = 1.0


def walk_down(scene: CaseScene, case: Case, walk: Walk, true: TrueCause) -> WalkDown:
    """Walk the belt once for each way it goes and write down what is seen."""
    by = scene.somebody(Role.TECHNICIAN)
    begun = _begin(scene, case, walk, by)
    eye = Eye(scene.conveyor.clearance_mm, scene.stage.revolution_s, scene.chance(0.4))
    for number, going in enumerate(walk.passes):
        if number:
            how = _pass(scene, going, begun.note)
            walking.change_pass(walk_down_id=begun.pk, how=how, now=scene.now)
        looks = [_look(scene, eye, station, going, walk, true) for station in _route(scene, walk)]
        _keep(scene, begun, looks, by)
    if walk.share < 1:
        return begun
    scene.clock.now += timedelta(minutes=2)
    return walking.finish_walk_down(walk_down_id=begun.pk, now=scene.now)


def record_finding(
    scene: CaseScene, case: Case, *, cause: str, place: str, is_present: bool, by: User
) -> Finding:
    """What a close look at one cause showed, in the words of who looked."""
    components = {one.name: one for one in scene.conveyor.components.all()}
    return findings.record_finding(
        case_id=case.pk,
        cause=cause,
        is_present=is_present,
        component=components.get(place),
        place=place,
        note=scene.note("found" if is_present else "not_found"),
        by=by,
        now=scene.now,
    )


def _begin(scene: CaseScene, case: Case, walk: Walk, by: User) -> WalkDown:
    note = scene.note("walk_down")
    return walking.begin_walk_down(
        case_id=case.pk,
        how=_pass(scene, walk.passes[0], note),
        cautions_read=True,
        by=by,
        now=scene.now,
    )


def _pass(scene: CaseScene, going: Going, note: str) -> walking.Pass:
    return walking.Pass(
        facing=WalkDown.Facing.HEAD,
        load=going.load,
        is_running_backwards=going.is_backwards,
        remarks=scene.plan.trouble.also,
        note=note,
    )


def _route(scene: CaseScene, walk: Walk) -> tuple[Station, ...]:
    loop = scene.stage.loop
    if walk.stations is None:
        route = walking_stations(loop)
    else:
        route = in_walking_order(_thinned(loop, walk.stations))
    return route[: max(int(len(route) * walk.share), 1)]


def _thinned(loop: Loop, about: int) -> set[Station]:
    """Every pulley, and idlers evenly along the way between: a quick walk's stations."""
    pulleys = {station for part in loop.pulleys for station in part.stations()}
    idlers = [one for part in loop.parts if part.is_idler for one in part.stations()]
    steps = max(about - len(pulleys), 4)
    wanted = ((number + 0.5) * loop.length_m / steps for number in range(steps))
    nearest = {min(idlers, key=lambda one: abs(one.position_m - at_m)) for at_m in wanted}
    return pulleys | nearest


def _look(
    scene: CaseScene, eye: Eye, station: Station, going: Going, walk: Walk, true: TrueCause
) -> tuple[datetime, Seen]:
    scene.clock.now += timedelta(seconds=int(scene.rng.integers(25, 110)))
    if scene.chance(_UNSEEN):
        return scene.now, Seen(station, going, not_seen=scene.talk.obstacle(scene.rng))
    has_vee = scene.conveyor.return_vee_deg > 0
    there_mm = offset_mm(
        scene.stage.loop, true, station.position_m, going.load, has_vee_return=has_vee
    )
    # What a turned roll does to the belt turns round with its direction.
    shown_mm = walk.share_of_trouble * there_mm * (-1 if going.is_backwards else 1)
    travels = true.shape is Shape.TRAVELLING
    return scene.now, eye.look(station, going, shown_mm, scene.rng, travels=travels)


def _keep(
    scene: CaseScene, begun: WalkDown, looks: Sequence[tuple[datetime, Seen]], by: User
) -> None:
    """One by one as from a phone; for cases long over all at once, which takes a tenth of it."""
    for at, seen in looks if scene.plan.stands else ():
        walking.record_sighting(
            walk_down_id=begun.pk,
            seen=walking.Seen(**_said(seen)),
            by=by,
            now=at,
            client_id=_client_id(scene),
        )
    if scene.plan.stands is None:
        Sighting.objects.bulk_create(
            Sighting(
                walk_down=begun,
                seen_at=at,
                seen_by=by,
                client_id=_client_id(scene),
                **{key: value or "" for key, value in _said(seen).items() if key in _WORDS},
                **{key: value for key, value in _said(seen).items() if key not in _WORDS},
            )
            for at, seen in looks
        )


_WORDS = frozenset({"degree", "side", "persistence"})


def _client_id(scene: CaseScene) -> uuid.UUID:
    return uuid.UUID(bytes=scene.rng.bytes(16), version=4)


def _said(seen: Seen) -> dict[str, Any]:
    return {
        "station": seen.station.name,
        "run": seen.station.run,
        "position_m": seen.station.position_m,
        "load": seen.going.load,
        "is_running_backwards": seen.going.is_backwards,
        "offset_mm": seen.offset_mm,
        "degree": seen.degree,
        "side": seen.side,
        "persistence": seen.persistence,
        "not_seen_reason": seen.not_seen,
    }
