"""Registers for tests of the engineering check: one that fits, changed by what a test is about."""

from dataclasses import replace
from typing import Any

from diagnostics.mechanics.register_check.checking import Checked, check_register
from diagnostics.mechanics.register_check.figures import BeltFigures, Figures, Readings
from diagnostics.mechanics.register_check.findings import Check, Compared, Missing
from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.parts import Part
from plant.loop.path import build_loop
from plant.loop.vocabulary import TakeUpKind

READ = Readings(pulley_rpm=47.75, take_up_travel_m=3.0, take_up_mass_kg=4078.0)


def parts_of(**changed: Any) -> tuple[Part, ...]:
    """200 m, gravity take-up; of the idlers the rolls are known."""
    figures = {
        "centre_distance_m": 200.0,
        "head_diameter_mm": 1000.0,
        "tail_diameter_mm": 800.0,
        "take_up": TakeUpKind.GRAVITY,
        "take_up_diameter_mm": 800.0,
        "bend_diameter_mm": 630.0,
        **changed,
    }
    parts = lay_out(LayoutFigures(**figures))
    return tuple(replace(part, diameter_mm=133.0) if part.is_idler else part for part in parts)


def figures_of(parts: tuple[Part, ...] | None = None, **changed: Any) -> Figures:
    """1000 mm of EP belt at 2.5 m/s, 600 t/h, level, 20 kN in a strand."""
    parts = parts_of() if parts is None else parts
    loop = build_loop(parts)
    belt = BeltFigures(1000.0, round(loop.length_m + 1, 1), "EP", 14.0)
    given: dict[str, Any] = {
        "parts": parts,
        "loop": loop,
        "belt": belt,
        "speed_mps": 2.5,
        "centre_distance_m": 200.0,
        "capacity_tph": 600.0,
        "take_up_tension_n": 20_000.0,
        "readings": READ,
        **changed,
    }
    return Figures(**given)


def with_belt(figures: Figures, **changed: Any) -> Figures:
    assert figures.belt is not None
    return replace(figures, belt=replace(figures.belt, **changed))


def asked(figures: Figures) -> list[Check]:
    return [one.check for one in check_register(figures).asking]


def compared(figures: Figures, check: Check) -> Compared:
    """The one comparison of a kind."""
    (found,) = all_compared(check_register(figures), check)
    return found


def all_compared(checked: Checked, check: Check) -> list[Compared]:
    return [one for one in (*checked.asking, *checked.agreeing) if one.check is check]


def unchecked(figures: Figures) -> dict[Check, Missing]:
    return {one.check: one.missing for one in check_register(figures).unchecked}
