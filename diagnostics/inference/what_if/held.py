"""The picture of a fault that stays in place: one forward solve of the model a load state."""

import numpy as np
from scipy.interpolate import CubicHermiteSpline

from diagnostics.inference.causes import Cause
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.vocabulary import LoadState
from diagnostics.inference.what_if.answer import Asked
from diagnostics.inference.what_if.causes_asked import FaultKind
from diagnostics.inference.what_if.choice import Choice, WhatIfRefusal
from diagnostics.inference.what_if.measures import measure_of
from diagnostics.inference.what_if.picture import Picture, picture_places_m
from diagnostics.inference.what_if.standing import Standing, standing_of
from diagnostics.mechanics.bow_faults import bent_structure
from diagnostics.mechanics.candidates import Candidates
from diagnostics.mechanics.influence import MM_PER_M
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.nodes import Floats, Nodes
from diagnostics.mechanics.pulley_faults import skewed_pulley, tapered_pulley
from diagnostics.mechanics.roll_faults import off_centre_loads, rubbing, single_rolls


def asked_in_place(
    cause: Cause, names: tuple[str, ...], choice: Choice, conveyor: ConveyorFacts, nodes: Nodes
) -> Asked:
    if choice.belt_at_m is not None:
        raise WhatIfRefusal(
            "belt_at", f"is for what travels with the belt; {cause.slug} stays in place."
        )
    standing = standing_of(cause, names, choice.at, choice.sets, conveyor.loop, nodes)
    measure = measure_of(
        cause, standing.kind, conveyor, run=standing.run, sets=max(len(standing.rolls), 1)
    )
    size = measure.checked(choice.size)
    return Asked(conveyor, cause, standing, measure, size, choice.side)


def held_picture(asked: Asked, load: LoadState, model: LateralModel) -> Picture:
    """The picture of a fault that stays in place."""
    solved = model.solve(_forcing(asked.standing, model)[:, None])[:, 0]
    amplitude = asked.amplitude * MM_PER_M
    s_m = model.line.nodes.s_m
    # Stations between nodes are read off the beam's own cubic; nodes alone would do for a drawing.
    path = CubicHermiteSpline(s_m, solved[0::2], solved[1::2])
    position_m = picture_places_m(s_m, asked.conveyor.loop)
    computed = amplitude * path(np.clip(position_m, s_m[0], s_m[-1]))
    return asked.picture(load, position_m, computed)


def _forcing(standing: Standing, model: LateralModel) -> Floats:
    """Right-hand side of one unit of the fault: the very one the inference weighs."""
    kind = standing.kind
    if kind in (FaultKind.IDLERS, FaultKind.STUCK):
        turned: Floats = single_rolls(model).matrix[list(standing.rolls)].sum(axis=0)
        return turned
    if kind is FaultKind.BOW:
        half_m = (standing.to_m - standing.from_m) / 2
        bent: Floats = bent_structure(model, np.array([standing.position_m]), half_m).toarray()[0]
        return bent
    return _at_part(standing, model).of(0, 1.0)


def _at_part(standing: Standing, model: LateralModel) -> Candidates:
    kind, part = standing.kind, standing.part
    if kind is FaultKind.LOADING:
        at_m = standing.position_m
        return next(one for one in off_centre_loads(model) if one.position_m[0] == at_m)
    assert part is not None
    if kind is FaultKind.RUB:
        return rubbing(model, part)
    pulley = next(one for one in model.line.nodes.pulleys if one.part.name == part.name)
    if kind is FaultKind.TAPER:
        return tapered_pulley(model, pulley)
    return skewed_pulley(model, pulley)[0]
