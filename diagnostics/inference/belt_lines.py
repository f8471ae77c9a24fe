"""A conveyor's facts as lateral models, one a load state, on the same nodes.

The latest models are kept by the value of all figures they are made of. Nothing in them changes
once it is computed, so that threads may share them; who forks takes them along.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.vocabulary import LoadState
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.line import BeltData, Line, LineData
from diagnostics.mechanics.nodes import Nodes, lay_nodes
from diagnostics.mechanics.tension import LAGGED_FRICTION, least_slack_tension_n
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind

# A belt whose capacity is not registered is taken as loaded to so many kilograms a metre and
# metre of width; engineering judgement. [kg/m2]
USUAL_LOAD_KG_M2 = 100.0
# Conveyors, each in one load state, whose models are kept. A usual one takes a few megabytes, one
# of 20 km about thirty.
MOST_KEPT = 8


def models_of(conveyor: ConveyorFacts, loads: Iterable[LoadState]) -> dict[LoadState, LateralModel]:
    """The lateral model of each load state asked for."""
    return {load: _model(_data(conveyor, load)) for load in loads}


def forget() -> None:
    """Drop the models that are kept."""
    _model.cache_clear()
    _nodes.cache_clear()


@lru_cache(maxsize=MOST_KEPT)
def _model(data: LineData) -> LateralModel:
    return LateralModel(Line(data, _nodes(data.loop)))


@lru_cache(maxsize=MOST_KEPT)
def _nodes(loop: Loop) -> Nodes:
    return lay_nodes(loop)


def _data(conveyor: ConveyorFacts, load: LoadState) -> LineData:
    belt = conveyor.belt
    tension_kn = conveyor.take_up_tension_kn
    return LineData(
        loop=conveyor.loop,
        belt=BeltData.of(
            width_mm=belt.width_mm,
            mass_kg_m2=belt.mass_kg_m2,
            modulus_kn_m=belt.modulus_kn_m,
            carcass=belt.carcass,
            strength_n_mm=belt.strength_n_mm,
        ),
        load_kg_m=load_kg_m(conveyor) if load is LoadState.LOADED else 0.0,
        centre_m=conveyor.centre_distance_m,
        lift_m=conveyor.lift_m,
        trough_rad=math.radians(conveyor.trough_angle_deg),
        vee_rad=math.radians(conveyor.return_vee_deg),
        take_up_kind=conveyor.take_up_kind,
        take_up_n=None if tension_kn is None else 1000 * tension_kn,
    )


def load_kg_m(conveyor: ConveyorFacts) -> float:
    """Material on the carrying run at full capacity. [kg/m]

    Identity q = Q / (3.6 v), Q in t/h; reference: ISO 5048.
    """
    if conveyor.capacity_tph is None:
        return USUAL_LOAD_KG_M2 * conveyor.belt.width_mm / 1000
    return conveyor.capacity_tph / 3.6 / abs(conveyor.speed_mps)


@dataclass(frozen=True)
class SlackSide:
    """Tension where the belt leaves a driven head pulley, and what the drive needs there. [N]"""

    has_n: float
    needs_n: float


def slack_side(conveyor: ConveyorFacts) -> SlackSide | None:
    """What waits behind the head pulley at full load, if the register tells and the head drives.

    Notes
    -----
    Needed: main and slope resistance over e^(mu alpha) - 1, for a lagged pulley. Secondary
    resistances are left out, so that a belt with less than this slips for certain.

    References
    ----------
    Euler and Eytelwein; ISO 5048.
    """
    head = conveyor.loop.of_kind(ComponentKind.HEAD_PULLEY)[0]
    is_driven_elsewhere = bool(conveyor.loop.of_kind(ComponentKind.DRIVE_PULLEY))
    known = conveyor.take_up_tension_kn is not None and conveyor.capacity_tph is not None
    if is_driven_elsewhere or not known or head.wrap_deg is None:
        return None
    line = models_of(conveyor, [LoadState.LOADED])[LoadState.LOADED].line
    # Just past the pulley: at its first touch the belt is on the tight side.
    behind_m = np.array([head.first_m + head.arc_m])
    needs_n = least_slack_tension_n(
        line.strands.pull_n(), LAGGED_FRICTION, math.radians(head.wrap_deg)
    )
    return SlackSide(float(line.tension_at_n(behind_m)[0]), needs_n)
