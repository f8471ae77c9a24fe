"""Writes the invented plants, their conveyors and belts into the register."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from plant.loop.parts import Part
from plant.loop.path import Loop, build_loop
from plant.models import Belt, BeltMark, Component, Conveyor, Plant, Splice
from workorders.services.demo_history.course import lay_course
from workorders.services.demo_history.files import read

_MONTH = timedelta(days=30.44)
_FIGURES = (
    "tag",
    "name",
    "nicknames",
    "area",
    "carries",
    "centre_distance_m",
    "lift_m",
    "profile",
    "speed_mps",
    "capacity_tph",
    "trough_angle_deg",
    "return_vee_deg",
    "clearance_mm",
    "take_up_kind",
    "take_up_tension_kn",
    "is_reversing",
    "left_words",
    "right_words",
    "isolation_points",
    "consequence",
    "hour_costs",
    "note",
)


def write_plant(said: Mapping[str, Any], today: date) -> Plant:
    """One plant with everything that stands in it."""
    plant = Plant.objects.create(
        code=said["code"],
        name=said["name"],
        time_zone=said["time_zone"],
        recurrence_window_days=said["recurrence_window_days"],
        recurrence_distance_m=said["recurrence_distance_m"],
        is_demo=True,
    )
    for name in said["conveyors"]:
        for conveyor in read(name)["conveyors"]:
            _write_conveyor(plant, conveyor, today)
    return plant


def _write_conveyor(plant: Plant, said: Mapping[str, Any], today: date) -> None:
    parts = lay_course(said["course"])
    loop = build_loop(parts)
    conveyor = Conveyor(plant=plant, **{key: said[key] for key in _FIGURES if key in said})
    conveyor.full_clean()
    conveyor.save()
    fitted_on = _ago(said["belt"]["fitted_months_ago"], today)
    Component.objects.bulk_create(_component(conveyor, part, fitted_on) for part in parts)
    _write_belt(conveyor, said["belt"], loop, today)


def _component(conveyor: Conveyor, part: Part, fitted_on: date) -> Component:
    return Component(
        conveyor=conveyor,
        name=part.name,
        kind=part.kind.value,
        run=part.run.value,
        first_m=f"{part.first_m:.3f}",
        spacing_m=None if part.spacing_m is None else f"{part.spacing_m:.3f}",
        count=part.count,
        is_numbered=part.is_numbered,
        diameter_mm=part.diameter_mm,
        wrap_deg=part.wrap_deg,
        in_deg=part.in_deg,
        out_deg=part.out_deg,
        length_m=part.length_m,
        fitted_on=fitted_on,
    )


def _write_belt(conveyor: Conveyor, said: Mapping[str, Any], loop: Loop, today: date) -> None:
    belt = Belt.objects.create(
        conveyor=conveyor,
        name=f"{said['carcass']} {said['strength_n_mm']:g} {said['width_mm']:g} mm",
        width_mm=said["width_mm"],
        carcass=said["carcass"],
        strength_n_mm=said["strength_n_mm"],
        modulus_kn_m=said["modulus_kn_m"],
        mass_kg_m2=said["mass_kg_m2"],
        length_m=round(loop.length_m, 1),
        fitted_on=_ago(said["fitted_months_ago"], today),
    )
    Splice.objects.bulk_create(
        Splice(
            belt=belt,
            name=f"S{number}",
            belt_position_m=round(splice["at"] * belt.length_m, 1),
            made_on=_ago(splice["months_ago"], today),
            note=splice.get("note", ""),
        )
        for number, splice in enumerate(said["splices"], start=1)
    )
    BeltMark.objects.bulk_create(
        BeltMark(
            belt=belt,
            kind=mark["kind"],
            belt_position_m=round(mark["at"] * belt.length_m, 1),
            length_m=mark.get("length_m"),
            side=mark.get("side", ""),
            seen_on=_ago(mark["months_ago"], today),
            note=mark.get("note", ""),
        )
        for mark in said.get("marks", ())
    )


def _ago(months: float, today: date) -> date:
    return today - _MONTH * months
