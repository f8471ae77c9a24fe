"""What is seen at the belt after the work: at the stations that were off before, in both states."""

from zlib import crc32

from numpy.random import Generator, default_rng

from diagnostics.inference.vocabulary import Degree, LoadState
from plant.loop.parts import Station
from workorders.models import WorkOrder
from workorders.selectors import proof_page
from workorders.services.demo_history.eyes import Eye, Going
from workorders.services.demo_history.response import Shape, offset_mm
from workorders.services.demo_history.scene import CaseScene
from workorders.services.proof_watching import NewLook

# So much of the trouble is left after a mend that did not hold.
_LEFT = 0.6


def looks_after(scene: CaseScene, order: WorkOrder, *, passed: bool) -> tuple[NewLook, ...]:
    """A throw of the dice of its own: the rest of the story stays as it is."""
    loop = scene.stage.loop
    rng = default_rng(crc32(order.number.encode()))
    eye = Eye(scene.conveyor.clearance_mm, scene.stage.revolution_s, measures=True)
    stations = {one.name: one for one in loop.stations}
    return tuple(
        _look(scene, eye, stations[one.station], Going(load), rng, passed=passed)
        for one in proof_page.to_watch(order, loop)
        for load in LoadState
        if one.station in stations
    )


def _look(
    scene: CaseScene, eye: Eye, station: Station, going: Going, rng: Generator, *, passed: bool
) -> NewLook:
    if passed:
        return NewLook(station.name, going.load, degree=Degree.CENTRED)
    true = scene.truth()
    has_vee = scene.conveyor.return_vee_deg > 0
    there_mm = offset_mm(
        scene.stage.loop, true, station.position_m, going.load, has_vee_return=has_vee
    )
    travels = true.shape is Shape.TRAVELLING
    seen = eye.look(station, going, _LEFT * there_mm, rng, travels=travels)
    return NewLook(
        station.name, going.load, seen.offset_mm, seen.degree, seen.side, seen.persistence
    )
