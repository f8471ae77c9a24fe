"""What the belt weighs, how stiff it is and how hard the rolls grip it, empty and loaded.

Symbols: EI bending stiffness in the belt's own plane [N m2], c grip per metre and radian
[N/(rad m)], k centring stiffness per metre [N/m2].
"""

import math
from dataclasses import dataclass

from diagnostics.inference.evidence import BeltFacts, ConveyorFacts
from diagnostics.inference.vocabulary import LoadState

GRAVITY_MPS2 = 9.81
# Dry rubber on steel, 0.3 to 0.7; engineering judgement, to be calibrated.
FRICTION = 0.5
# Slip angle at which friction saturates, 0.5 to 2 degrees; engineering judgement, to be calibrated.
SLIP_ANGLE_RAD = math.radians(1.0)
# Forward tilt of troughing idlers; practice allows up to 2 degrees. Engineering judgement.
FORWARD_TILT_RAD = math.radians(1.0)
# Bulk material leans on the wing rolls harder than its weight alone; engineering judgement.
LOAD_ON_WINGS = 1.3
# Belt modulus over nominal strength, fabric and steel cord; stands in for the maker's value.
MODULUS_OVER_STRENGTH = {"EP": 10.0, "ST": 70.0}
_USUAL_STRENGTH_N_MM = {"EP": 630.0, "ST": 1600.0}
_USUAL_MASS_KG_M2 = {"EP": 12.0, "ST": 24.0}
# Load per metre of a full troughed belt of 1 m width, 1 t/m3; engineering judgement.
_FULL_LOAD_KG_M = 110.0
# Artificial friction of the running belt, 0.020 to 0.025 usual (ISO 5048, from memory); rotating
# mass of the rolls; and what a running belt never falls below. The last two: engineering judgement.
RUNNING_FRICTION = 0.022
CARRYING_ROLLS_KG_M = 15.0
LEAST_SHARE = 0.15
# Without a stated tension: what holds the sag between idlers of usual spacing at 1.5 %.
_USUAL_SAG = 0.015
_USUAL_SPACING_M = 1.2


@dataclass(frozen=True)
class Duty:
    """One conveyor in one load state.

    Attributes
    ----------
    width_m, trough_deg : float
        Belt width [m], trough angle of the carrying idlers. [deg]
    bending_nm2, tension_n : float
        EI [N m2], strand tension at the take-up, which is about that of the return run. [N]
    carrying_tension_n : float
        Mean tension of the carrying run. [N]
    belt_kg_m, load_kg_m : float
        Mass per metre; the load is 0 when empty. [kg/m]
    """

    width_m: float
    trough_deg: float
    bending_nm2: float
    tension_n: float
    carrying_tension_n: float
    belt_kg_m: float
    load_kg_m: float

    def grip_n_rad_m(self, *, is_carrying: bool) -> float:
        """c: lateral force per radian and metre of belt. [N/(rad m)]"""
        mass = self.belt_kg_m + (self.load_kg_m if is_carrying else 0.0)
        return FRICTION * mass * GRAVITY_MPS2 / SLIP_ANGLE_RAD

    def trough_n_m2(self) -> float:
        """k of the carrying run: gravity on the wing rolls, and their forward tilt. [N/m2]"""
        return self._trough_shape() * self._on_wings(self.load_kg_m)

    def trough_of_load_n_m2(self) -> float:
        """The part of k that the load brings. [N/m2]"""
        return self._trough_shape() * (self._on_wings(self.load_kg_m) - self._on_wings(0.0))

    def vee_n_m2(self, vee_deg: float) -> float:
        """k of vee return idlers; 0 for flat ones. [N/m2]"""
        return 2 * math.sin(math.radians(vee_deg)) * self._on_wings(0.0)

    def _trough_shape(self) -> float:
        angle = math.radians(self.trough_deg)
        tilt = FRICTION / SLIP_ANGLE_RAD * FORWARD_TILT_RAD
        # A flat belt has no wing rolls to tilt.
        return 2 * math.sin(angle) + (2 * tilt * math.cos(angle) if angle > 0 else 0.0)

    def _on_wings(self, load_kg_m: float) -> float:
        return (self.belt_kg_m + LOAD_ON_WINGS * load_kg_m) * GRAVITY_MPS2 / self.width_m


def duty_of(conveyor: ConveyorFacts, load: LoadState) -> Duty:
    """The conveyor empty or loaded; usual values stand in for what the register leaves open."""
    belt = conveyor.belt
    width_m = belt.width_mm / 1000
    belt_kg_m = (belt.mass_kg_m2 or _USUAL_MASS_KG_M2[_carcass(belt)]) * width_m
    full_kg_m = _load_kg_m(conveyor)
    usual_n = (belt_kg_m + full_kg_m) * GRAVITY_MPS2 * _USUAL_SPACING_M / (8 * _USUAL_SAG)
    stated_kn = conveyor.take_up_tension_kn
    tension_n = stated_kn * 1000 if stated_kn else usual_n
    load_kg_m = full_kg_m if load is LoadState.LOADED else 0.0
    return Duty(
        width_m=width_m,
        trough_deg=conveyor.trough_angle_deg,
        bending_nm2=_modulus_n_m(belt) * width_m**3 / 12,
        tension_n=tension_n,
        carrying_tension_n=max(
            tension_n + _gained_n(conveyor, belt_kg_m + load_kg_m) / 2, LEAST_SHARE * tension_n
        ),
        belt_kg_m=belt_kg_m,
        load_kg_m=load_kg_m,
    )


def _gained_n(conveyor: ConveyorFacts, moved_kg_m: float) -> float:
    """Tension gained from tail to head: friction of the rolls and the rise of belt and load."""
    rolling = RUNNING_FRICTION * (CARRYING_ROLLS_KG_M + moved_kg_m) * conveyor.loop.head_m
    return GRAVITY_MPS2 * (rolling + moved_kg_m * conveyor.lift_m)


def _modulus_n_m(belt: BeltFacts) -> float:
    if belt.modulus_kn_m:
        return belt.modulus_kn_m * 1000
    carcass = _carcass(belt)
    strength = belt.strength_n_mm or _USUAL_STRENGTH_N_MM[carcass]
    return MODULUS_OVER_STRENGTH[carcass] * strength * 1000


def _carcass(belt: BeltFacts) -> str:
    return "ST" if belt.carcass.upper().startswith("ST") else "EP"


def _load_kg_m(conveyor: ConveyorFacts) -> float:
    if conveyor.capacity_tph:
        return conveyor.capacity_tph / 3.6 / abs(conveyor.speed_mps)
    return _FULL_LOAD_KG_M * (conveyor.belt.width_mm / 1000) ** 2
