"""One conveyor in one load state as the lateral model needs it: grip, centring, tension."""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from diagnostics.mechanics.nodes import Floats, Nodes, lay_nodes
from diagnostics.mechanics.tension import (
    CARRYING_ROLLS_KG_M2,
    GRAVITY_MPS2,
    RETURN_ROLLS_KG_M2,
    Strands,
    tension_along_loop_n,
)
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, TakeUpKind

# Dry rubber on a steel roll, 0.3-0.7; common practice, no source.
FRICTION = 0.5
# Slip angle at which the grip is used up, 0.5-2 deg: the least known number of the model.
SLIP_ANGLE_RAD = math.radians(1.0)
# Usual forward tilt of troughing sets, 0-2 deg; common practice, no source.
FORWARD_TILT_RAD = math.radians(1.0)
# Material lies on the inclined rolls more heavily than its share; engineering judgement.
LOAD_ON_WINGS = 1.3
# A self-aligning set stands higher and carries more; engineering judgement.
SELF_ALIGNING_WEIGHT = 1.3
# Belt modulus per strength, EP and steel cord; from memory, the maker's value goes first.
MODULUS_PER_STRENGTH = {"EP": 10.0, "ST": 70.0}
# What stands in for figures the register leaves open; engineering judgement.
USUAL_STRENGTH_N_MM = 800.0
USUAL_MASS_KG_M2 = 14.0
USUAL_TENSION_N = 20_000.0


@dataclass(frozen=True)
class BeltData:
    """The belt's figures; `modulus_n_m` is the tensile modulus per metre of width. [N/m]"""

    width_m: float
    mass_kg_m2: float
    modulus_n_m: float

    @staticmethod
    def of(
        *,
        width_mm: float,
        mass_kg_m2: float | None = None,
        modulus_kn_m: float | None = None,
        carcass: str = "EP",
        strength_n_mm: float | None = None,
    ) -> "BeltData":
        """Register figures, with usual values for what is left open."""
        per_strength = MODULUS_PER_STRENGTH.get(carcass, MODULUS_PER_STRENGTH["EP"])
        usual_n_m = (strength_n_mm or USUAL_STRENGTH_N_MM) * 1000.0 * per_strength
        return BeltData(
            width_m=width_mm / 1000.0,
            mass_kg_m2=mass_kg_m2 or USUAL_MASS_KG_M2,
            modulus_n_m=modulus_kn_m * 1000.0 if modulus_kn_m else usual_n_m,
        )

    @property
    def bending_n_m2(self) -> float:
        """EI of the belt in its own plane, E b^3 / 12. [N m2]"""
        return self.modulus_n_m * self.width_m**3 / 12.0


@dataclass(frozen=True)
class LineData:
    """A conveyor's figures for the lateral model.

    Attributes
    ----------
    loop : Loop
    belt : BeltData
    load_kg_m : float
        Material on the carrying run, 0 for the empty belt. [kg/m]
    centre_m, lift_m : float
        Length of the belt line and its rise from tail to head. [m]
    trough_rad, vee_rad : float
        Of the carrying and the return rolls. [rad]
    take_up_kind : TakeUpKind
    take_up_n : float or None
        Tension of one strand at the take-up, with a screw where the belt leaves the tail; None
        where nobody knows it. [N]

    Raises
    ------
    ValueError
        A figure that is no number, or a belt without width, mass or stiffness.
    """

    loop: Loop
    belt: BeltData
    load_kg_m: float
    centre_m: float
    lift_m: float
    trough_rad: float
    vee_rad: float
    take_up_kind: TakeUpKind
    take_up_n: float | None

    def __post_init__(self) -> None:
        for name in ("load_kg_m", "centre_m", "lift_m", "trough_rad", "vee_rad", "take_up_n"):
            value = getattr(self, name)
            if value is not None and not math.isfinite(value):
                raise ValueError(f"{name} must be a finite number, got {value!r}")
        for name in ("width_m", "mass_kg_m2", "modulus_n_m"):
            value = getattr(self.belt, name)
            if not (value > 0 and math.isfinite(value)):
                raise ValueError(f"belt {name} must be finite and above 0, got {value!r}")

    def tensioned(self, factor: float) -> "LineData":
        """The same line with another tension: a take-up that hangs, or lost some of its weight.

        Parameters
        ----------
        factor : float
            New tension at the take-up over the present one, > 0. A low tension has no pattern of
            its own: bows move the belt in proportion to it, splices with its power -1/2, camber
            with -1.
        """
        if not (factor > 0 and math.isfinite(factor)):
            raise ValueError(f"factor must be finite and above 0, got {factor!r}")
        return replace(self, take_up_n=factor * (self.take_up_n or USUAL_TENSION_N))


class Line:
    """Everything of one load state that stands at nodes and rolls.

    The nodes depend on the loop alone, so that both load states share them.
    """

    def __init__(self, data: LineData, nodes: Nodes | None = None) -> None:
        self.data = data
        self.nodes = nodes or lay_nodes(data.loop)

    @cached_property
    def strands(self) -> Strands:
        data = self.data
        return Strands(
            belt_kg_m=data.belt.mass_kg_m2 * data.belt.width_m,
            load_kg_m=data.load_kg_m,
            carrying_rolls_kg_m=CARRYING_ROLLS_KG_M2 * data.belt.width_m,
            return_rolls_kg_m=RETURN_ROLLS_KG_M2 * data.belt.width_m,
            lift_m=data.lift_m,
            centre_m=max(data.centre_m, 1.0),
        )

    @cached_property
    def load_from_m(self) -> float:
        loads = self.data.loop.of_kind(ComponentKind.LOAD_POINT)
        return loads[0].first_m if loads else 0.0

    @cached_property
    def tension_n(self) -> Floats:
        """Tension at the nodes, shape (n,). [N]"""
        return self.tension_at_n(self.nodes.s_m)

    def tension_at_n(self, positions_m: Floats) -> Floats:
        """Tension at places on the loop, shape (m,). [N]"""
        loop = self.data.loop
        take_ups = loop.of_kind(ComponentKind.TAKE_UP_PULLEY)
        at_take_up = self.data.take_up_kind is not TakeUpKind.SCREW and bool(take_ups)
        return tension_along_loop_n(
            positions_m,
            head_m=loop.head_m,
            length_m=loop.length_m,
            strands=self.strands,
            known_at_m=take_ups[0].first_m if at_take_up else 0.0,
            known_n=self.data.take_up_n or USUAL_TENSION_N,
        )

    @cached_property
    def _weights_n_m(self) -> tuple[Floats, Floats]:
        """Weight of belt and of material per metre at each roll, shape (rolls,). [N/m]"""
        pressing = GRAVITY_MPS2 * self.strands.cosine
        nodes = self.nodes
        loaded = (nodes.roll_is_carrying & (nodes.roll_at_m >= self.load_from_m)).astype(float)
        belt = np.full(len(self.nodes.rolls), self.strands.belt_kg_m * pressing)
        return belt, loaded * self.data.load_kg_m * pressing

    @cached_property
    def pressing_n(self) -> Floats:
        """Weight of belt and material on each roll, square to the slope, shape (rolls,). [N]"""
        belt, material = self._weights_n_m
        higher = np.where(self.nodes.roll_is_self_aligning, SELF_ALIGNING_WEIGHT, 1.0)
        return (belt + material) * self.nodes.roll_spacing_m * higher

    @cached_property
    def grip_n_rad(self) -> Floats:
        """C of each roll, mu N / theta_s, shape (rolls,). [N/rad]"""
        return FRICTION / SLIP_ANGLE_RAD * self.pressing_n

    @cached_property
    def centring_n_m(self) -> tuple[Floats, Floats]:
        """Centring of each roll by belt weight and by material, shape (rolls,). [N/m]

        Trough: [2 sin(lambda) + 2 (mu/theta_s) tilt cos(lambda)] w / b; vee return: 2 sin(vee)
        w / b; flat return rolls: none.
        """
        trough = self.data.trough_rad
        tilted = 2 * FRICTION / SLIP_ANGLE_RAD * FORWARD_TILT_RAD * math.cos(trough)
        carrying = 2 * math.sin(trough) + (tilted if trough > 0 else 0.0)
        returning = 2 * math.sin(self.data.vee_rad)
        share = np.where(self.nodes.roll_is_carrying, carrying, returning)
        belt, material = self._weights_n_m
        per_width = share * self.nodes.roll_spacing_m / self.data.belt.width_m
        return per_width * belt, per_width * LOAD_ON_WINGS * material

    def centring_per_metre_n_m2(self, positions_m: Floats) -> Floats:
        """Centring stiffness per metre of belt at places on the loop, shape (m,). [N/m2]"""
        if not self.nodes.rolls:
            return np.zeros(len(positions_m))
        own, material = self.centring_n_m
        per_metre = (own + material) / self.nodes.roll_spacing_m
        return np.interp(positions_m, self.nodes.roll_at_m, per_metre)
