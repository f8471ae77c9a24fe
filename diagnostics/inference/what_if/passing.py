"""The picture of a defect that travels with the belt: closed forms, whatever the rolls grip."""

import numpy as np

from diagnostics.inference.causes import Cause
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.features import splice_positions_m
from diagnostics.inference.travelling import CAMBER_SHOWS_OVER_M, SHOWS_OVER_M
from diagnostics.inference.vocabulary import CauseClass, LoadState
from diagnostics.inference.what_if.answer import Asked
from diagnostics.inference.what_if.causes_asked import FaultKind
from diagnostics.inference.what_if.choice import Choice, WhatIfRefusal
from diagnostics.inference.what_if.measures import measure_of
from diagnostics.inference.what_if.picture import Picture, picture_places_m
from diagnostics.inference.what_if.standing import Standing, place_on_loop
from diagnostics.mechanics.influence import MM_PER_M
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.line import Line
from diagnostics.mechanics.moving import camber_peak_m, splice_peak_m_rad
from diagnostics.mechanics.nodes import Floats
from diagnostics.mechanics.passing_shape import camber_shape, splice_shape
from plant.loop.vocabulary import Run

# A cambered section shows over its own length and over what any defect shows beyond its ends. [m]
CAMBER_SECTION_M = CAMBER_SHOWS_OVER_M - SHOWS_OVER_M


def asked_on_belt(
    cause: Cause, name: str, choice: Choice, conveyor: ConveyorFacts, model: LateralModel
) -> Asked:
    if choice.sets is not None:
        raise WhatIfRefusal("sets", f"are for causes of several idler sets, not for {cause.slug}.")
    kind, loop = FaultKind(name), conveyor.loop
    measure = measure_of(cause, kind, conveyor, run=Run.CARRYING, sets=1)
    size = measure.checked(choice.size)
    s_m = model.line.nodes.s_m
    at_m = (
        place_on_loop(choice.at, loop)
        if choice.at
        else float(s_m[np.argmax(_peaks_m(kind, model.line, s_m))])
    )
    standing = Standing(kind, "", at_m, at_m, at_m, loop.run_at(at_m))
    belt_at_m = _belt_position_m(cause, choice.belt_at_m, conveyor)
    return Asked(conveyor, cause, standing, measure, size, choice.side, belt_at_m)


def _belt_position_m(cause: Cause, asked_m: float | None, conveyor: ConveyorFacts) -> float:
    if asked_m is None:
        is_splice = cause.cause_class is CauseClass.BELT_SPLICE
        return splice_positions_m(conveyor.belt)[0] if is_splice else 0.0
    length_m = conveyor.belt.length_m
    if not 0 <= asked_m < length_m:
        raise WhatIfRefusal(
            "belt_at",
            f"{asked_m:g} m is off the belt, which is {length_m:.1f} m long; "
            "it is counted from the reference splice.",
        )
    return asked_m


def passing_picture(asked: Asked, load: LoadState, model: LateralModel) -> Picture:
    """The picture of what travels: its largest offset everywhere, its shape at one place."""
    line, loop, place_m = model.line, asked.conveyor.loop, asked.standing.position_m
    kind = asked.standing.kind
    position_m = np.union1d(picture_places_m(line.nodes.s_m, loop), [place_m])
    size = asked.amplitude if kind is FaultKind.CAMBER else np.radians(asked.amplitude)
    peaks = size * _peaks_m(kind, line, position_m) * MM_PER_M
    way_m = (position_m - place_m + loop.length_m / 2) % loop.length_m - loop.length_m / 2
    here = position_m == place_m
    local = (
        line.data.belt.bending_n_m2,
        float(_tension_n(line, position_m)[here][0]),
        float(line.centring_per_metre_n_m2(position_m)[here][0]),
    )
    shape = (
        camber_shape(way_m, CAMBER_SECTION_M, *local)
        if kind is FaultKind.CAMBER
        else splice_shape(way_m, *local)
    )
    return asked.picture(load, position_m, peaks, float(peaks[here][0]) * shape)


def _peaks_m(kind: FaultKind, line: Line, position_m: Floats) -> Floats:
    """Largest offset per radian, or per unit of camber, where the defect passes."""
    peak = camber_peak_m if kind is FaultKind.CAMBER else splice_peak_m_rad
    return peak(
        line.data.belt.bending_n_m2,
        _tension_n(line, position_m),
        line.centring_per_metre_n_m2(position_m),
    )


def _tension_n(line: Line, position_m: Floats) -> Floats:
    tension: Floats = np.interp(position_m, line.nodes.s_m, line.tension_n)
    return tension
