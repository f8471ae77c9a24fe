"""The true conveyor behind a register entry: other figures, idlers a little out of square."""

import math

import numpy as np

from tests.simulator.belt import Pulley, Rolls, World

G = 9.81


def true_world(conveyor: dict, rng: np.random.Generator, *, misalignment_deg: float = 0.2) -> World:
    belt = conveyor["belt"]
    width = belt["width_mm"] / 1000
    belt_kg = belt["mass_kg_m2"] * width
    load_kg = conveyor["capacity_t_h"] / 3.6 / conveyor["speed_m_s"]

    def spread(low: float, high: float) -> float:
        return float(np.exp(rng.uniform(np.log(low), np.log(high))))

    rolls = _rolls(conveyor)
    rolls.eps = np.radians(rng.normal(0, misalignment_deg, len(rolls.at_m)))
    rolls.stuck = np.zeros(len(rolls.at_m), dtype=bool)
    rolls.spacing_m = rolls.spacing_m * np.exp(rng.normal(0, 0.1, len(rolls.at_m)))
    pulleys, load_at = [], 0.0
    for part in conveyor["components"]:
        if part["kind"] == "load_point":
            load_at = part["position_m"]
        if part["kind"].endswith("pulley"):
            arc = math.pi * part["diameter_mm"] / 1000 * part["wrap_deg"] / 360
            pulleys.append(Pulley(part["name"], part["position_m"], arc))
    head = next(p for p in pulleys if p.name == "HEAD")
    tail = next(p for p in pulleys if p.name == "TAIL")
    length = tail.at_m + tail.arc_m
    take_up = next((p for p in pulleys if p.name == "TAKEUP"), None)
    tension = _tension(
        conveyor,
        belt_kg,
        load_kg * spread(0.75, 1.1),
        head.at_m,
        length,
        take_up.at_m if take_up else None,
        spread(0.78, 1.28),
        spread(0.8, 1.25),
    )
    return World(
        rolls=rolls,
        pulleys=pulleys,
        length_m=length,
        head_m=head.at_m,
        load_from_m=load_at,
        width_m=width,
        bending=belt["modulus_kN_m"] * 1000 * width**3 / 12 * spread(0.6, 1.25),
        belt_n_m=belt_kg * G,
        load_n_m=load_kg * G * spread(0.7, 1.1),
        tension_at=tension,
        friction=spread(0.38, 0.62),
        slip_rad=math.radians(spread(0.7, 1.4)),
        tilt_rad=math.radians(float(rng.uniform(0, 2))),
        trough_rad=math.radians(conveyor["trough_angle_deg"]),
        vee_rad=math.radians(conveyor["return_vee_deg"]),
        steering=spread(0.25, 0.6),
        clearance_m=conveyor["clearance_mm"] / 1000,
    )


def _rolls(conveyor: dict) -> Rolls:
    names, at, carrying, spacing, aligning = [], [], [], [], []
    for part in conveyor["components"]:
        if "idler" not in part["kind"]:
            continue
        count = part.get("count", 1)
        first = part.get("first_m", part.get("position_m"))
        for i in range(count):
            names.append(f"{part['prefix']}{i + 1}" if "prefix" in part else part["name"])
            at.append(first + i * part["spacing_m"])
            carrying.append(part["run"] == "carrying")
            spacing.append(part["spacing_m"])
            aligning.append(part["kind"] == "self_aligning_idler")
    order = np.argsort(at)
    return Rolls(
        [names[i] for i in order],
        np.array(at)[order],
        np.array(carrying)[order],
        np.array(spacing, float)[order],
        np.array(aligning)[order],
        eps=np.zeros(len(order)),
        stuck=np.zeros(len(order), dtype=bool),
    )


def _tension(conveyor, belt_kg, load_kg, head_m, length, take_up_m, factor, drag):
    known = conveyor["take_up"]["tension_kN"] * 1000 * factor
    lift, centre = conveyor["lift_m"], conveyor["centre_distance_m"]

    def at(s, loaded):
        load = load_kg if loaded else 0.0
        up = G * (0.022 * drag * (belt_kg + load + 14) + (belt_kg + load) * lift / centre)
        back = G * (0.022 * drag * (belt_kg + 6) - belt_kg * lift / centre)
        tail = known + back * (length - take_up_m) if take_up_m else known
        values = np.where(s <= head_m, tail + up * s, tail - back * (length - s))
        return np.maximum(values, 0.15 * known)

    return at
