"""One station timed for some turns of the belt: taps of a person, or the file of a sensor."""

import math
from dataclasses import dataclass
from datetime import timedelta

from numpy.random import Generator

from diagnostics.inference.evidence import Tap
from diagnostics.inference.vocabulary import LoadState, TapEvent
from diagnostics.models import Case, TimedLook
from diagnostics.services import timed_looks
from diagnostics.services.timed_looks import Post
from plant.loop.parts import Station
from plant.loop.vocabulary import ComponentKind, Run, Side
from plant.roles import Role
from workorders.services.demo_history.response import Shape, TrueCause
from workorders.services.demo_history.scene import CaseScene

_TURNS = 4.2
# How well a person taps, over how much belt a fault of it shows, and what a sensor adds.
_TAP_ERROR_S, _SHOWS_OVER_M = 0.4, 9.0
_NOISE_MM, _RATE_HZ = 3.0, 2.0


@dataclass(frozen=True)
class _Passing:
    """When the fault and the reference splice pass the station, turn by turn. [s]"""

    turn_s: float
    splice_s: float
    fault_s: float

    def times(self, first_s: float) -> list[float]:
        begin_s = first_s % self.turn_s
        count = math.ceil((_TURNS * self.turn_s - begin_s) / self.turn_s)
        return [begin_s + number * self.turn_s for number in range(count)]


def time_it(scene: CaseScene, case: Case, true: TrueCause) -> TimedLook:
    """Stand at one return idler until the belt has gone round four times."""
    by = scene.somebody(Role.TECHNICIAN)
    passing = _passing(scene, true)
    at = _station(scene)
    scene.clock.now += timedelta(seconds=60 + _TURNS * passing.turn_s)
    post = Post(at.name, at.run, at.position_m, true.only or LoadState.LOADED)
    if scene.plan.stands is None:
        return timed_looks.record_taps(
            case_id=case.pk,
            post=post,
            taps=_taps(passing, true, scene),
            duration_s=_TURNS * passing.turn_s,
            cautions_read=True,
            by=by,
            now=scene.now,
        )
    return timed_looks.record_sensor_file(
        case_id=case.pk,
        post=post,
        content=_file(passing, true, scene),
        name=f"{scene.conveyor.tag} {at.name}.csv",
        cautions_read=True,
        by=by,
        now=scene.now,
    )


def _passing(scene: CaseScene, true: TrueCause) -> _Passing:
    turn_s = scene.stage.revolution_s * scene.rng.uniform(0.993, 1.007)
    splice_s = scene.rng.uniform(0, turn_s)
    # A place ahead of the splice passes before it.
    ahead = true.position_m / scene.stage.belt.length_m
    return _Passing(turn_s, splice_s, splice_s - ahead * turn_s)


def _station(scene: CaseScene) -> Station:
    loop = scene.stage.loop
    middle_m = (loop.head_m + loop.length_m) / 2
    pulleys = {part.name for part in loop.pulleys}
    idlers = [
        one
        for one in loop.stations
        if one.run is Run.RETURN
        and one.name not in pulleys
        and one.kind is not ComponentKind.SELF_ALIGNING_IDLER
    ]
    return min(idlers, key=lambda one: abs(one.position_m - middle_m))


def _taps(passing: _Passing, true: TrueCause, scene: CaseScene) -> list[Tap]:
    over = TapEvent.OVER_LEFT if true.side is Side.LEFT else TapEvent.OVER_RIGHT
    half_s = _SHOWS_OVER_M / abs(scene.conveyor.speed_mps) / 2
    taps = [Tap(at_s, TapEvent.SPLICE) for at_s in passing.times(passing.splice_s)]
    if true.shape is Shape.TRAVELLING:
        for at_s in passing.times(passing.fault_s):
            taps += [Tap(at_s - half_s, over), Tap(at_s + half_s, TapEvent.BACK)]
    tapped = [_late(one, scene.rng) for one in taps]
    whole_s = _TURNS * passing.turn_s
    return sorted((one for one in tapped if 0 <= one.at_s <= whole_s), key=lambda one: one.at_s)


def _late(tap: Tap, rng: Generator) -> Tap:
    return Tap(round(tap.at_s + rng.normal(0, _TAP_ERROR_S), 1), tap.event)


def _file(passing: _Passing, true: TrueCause, scene: CaseScene) -> bytes:
    rows = ["time [s];offset [mm];splice"]
    speed_mps, turn_s = abs(scene.conveyor.speed_mps), passing.turn_s
    peak_mm = true.side.sign * true.size_mm if true.shape is Shape.TRAVELLING else 0.0
    for number in range(int(_TURNS * turn_s * _RATE_HZ)):
        at_s = number / _RATE_HZ
        apart_s = (at_s - passing.fault_s + turn_s / 2) % turn_s - turn_s / 2
        shown = math.exp(-0.5 * (apart_s * speed_mps / (_SHOWS_OVER_M / 2)) ** 2)
        drift_mm = 4 * math.sin(2 * math.pi * at_s / (1.7 * turn_s))
        offset_mm = peak_mm * shown + drift_mm + scene.rng.normal(0, _NOISE_MM)
        marked = (at_s - passing.splice_s) % turn_s < 1 / _RATE_HZ
        rows.append(f"{at_s:.1f};{offset_mm:.1f};{1 if marked else ''}")
    return "\n".join(rows).encode()
