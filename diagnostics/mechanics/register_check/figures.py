"""What the register says of one conveyor, as the check takes it; None is not registered."""

from dataclasses import dataclass
from functools import cached_property

from diagnostics.mechanics.register_check.formulas import load_kg_m
from diagnostics.mechanics.tension import GRAVITY_MPS2
from plant.loop.parts import Part
from plant.loop.path import Loop
from plant.loop.profile import Profile
from plant.loop.vocabulary import ComponentKind, TakeUpKind


@dataclass(frozen=True)
class BeltFigures:
    width_mm: float
    length_m: float
    carcass: str = "EP"
    mass_kg_m2: float | None = None

    @property
    def is_steel_cord(self) -> bool:
        return self.carcass == "ST"

    @property
    def mass_kg_m(self) -> float | None:
        return None if self.mass_kg_m2 is None else self.mass_kg_m2 * self.width_mm / 1000


@dataclass(frozen=True)
class Readings:
    """What somebody read at the conveyor and the register has no place for.

    Attributes
    ----------
    pulley_rpm : float or None
        Turns a minute of the drive pulley, of the head pulley where no drive pulley stands.
    take_up_travel_m : float or None
        How far the take-up can move in all. [m]
    take_up_mass_kg : float or None
        Counterweight with frame and pulley. [kg]
    """

    pulley_rpm: float | None = None
    take_up_travel_m: float | None = None
    take_up_mass_kg: float | None = None


@dataclass(frozen=True)
class Figures:
    """One conveyor.

    `parts` are all components, also while they make no loop; `loop` is None until they do.
    """

    parts: tuple[Part, ...]
    loop: Loop | None
    belt: BeltFigures | None
    speed_mps: float
    centre_distance_m: float
    lift_m: float = 0.0
    capacity_tph: float | None = None
    trough_angle_deg: float = 35.0
    take_up_kind: TakeUpKind = TakeUpKind.GRAVITY
    take_up_tension_n: float | None = None
    readings: Readings = Readings()
    profile: Profile | None = None

    @property
    def load_kg_m(self) -> float | None:
        """Material per metre at full capacity; None where the capacity is not known. [kg/m]"""
        if not self.capacity_tph:
            return None
        return load_kg_m(self.capacity_tph, self.speed_mps)

    @property
    def is_weighted(self) -> bool:
        """A weight holds the take-up, over ropes where it is horizontal."""
        return self.take_up_kind in (TakeUpKind.GRAVITY, TakeUpKind.HORIZONTAL)

    @property
    def strand_n(self) -> float | None:
        """Tension of one strand at the take-up: the register's, else from a weight read. [N]"""
        if self.take_up_tension_n:
            return self.take_up_tension_n
        mass_kg = self.readings.take_up_mass_kg
        return mass_kg * GRAVITY_MPS2 / 2 if mass_kg and self.is_weighted else None

    @cached_property
    def drives(self) -> tuple[Part, ...]:
        """The pulleys that pull: drive pulleys, the head pulley where none stands."""
        drives = tuple(part for part in self.parts if part.kind is ComponentKind.DRIVE_PULLEY)
        return drives or tuple(
            part for part in self.parts if part.kind is ComponentKind.HEAD_PULLEY
        )
