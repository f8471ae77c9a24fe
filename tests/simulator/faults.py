"""Faults by class and cause, drawn at random and put into a true world."""

import math

import numpy as np

CAUSES = {
    "carrying_idlers_skewed": ("carrying_idler_structure", "deg", (0.4, 1.8)),
    "structure_bowed": ("carrying_idler_structure", "mm", (40, 250)),
    "off_centre_loading": ("loading", "mm", (30, 140)),
    "tail_pulley_skewed": ("tail_pulley", "deg", (0.1, 1.2)),
    "tail_pulley_build_up": ("tail_pulley", "mm diameter", (0.5, 12)),
    "head_pulley_skewed": ("head_pulley", "deg", (0.15, 1.3)),
    "head_lagging_worn_one_side": ("head_pulley", "mm diameter", (0.5, 12)),
    "bend_pulley_skewed": ("bend_pulley", "deg", (0.2, 2.5)),
    "bend_pulley_build_up": ("bend_pulley", "mm diameter", (0.3, 12)),
    "take_up_carriage_skewed": ("take_up", "deg", (0.3, 2.5)),
    "take_up_pulley_build_up": ("take_up", "mm diameter", (0.5, 12)),
    "return_idler_skewed": ("return_idler", "deg", (0.8, 5)),
    "self_aligning_idler_stuck": ("return_idler", "deg", (3, 7)),
    "crooked_splice": ("belt_splice", "deg", (0.3, 2.2)),
    "one_sided_belt_damage": ("belt_section", "deg", (0.3, 2.5)),
    "belt_camber": ("belt_section", "1/m", (0.0008, 0.006)),
}
CLASS_CAUSES: dict[str, list[tuple[str, float]]] = {
    "carrying_idler_structure": [("carrying_idlers_skewed", 0.65), ("structure_bowed", 0.35)],
    "loading": [("off_centre_loading", 1)],
    "tail_pulley": [("tail_pulley_skewed", 0.75), ("tail_pulley_build_up", 0.25)],
    "head_pulley": [("head_pulley_skewed", 0.75), ("head_lagging_worn_one_side", 0.25)],
    "bend_pulley": [("bend_pulley_skewed", 0.6), ("bend_pulley_build_up", 0.4)],
    "take_up": [("take_up_carriage_skewed", 0.8), ("take_up_pulley_build_up", 0.2)],
    "return_idler": [("return_idler_skewed", 0.6), ("self_aligning_idler_stuck", 0.4)],
    "belt_splice": [("crooked_splice", 1)],
    "belt_section": [("one_sided_belt_damage", 0.75), ("belt_camber", 0.25)],
}


class Useless(Exception):
    """The drawn fault is not possible here, or moves this belt too little to complain about."""


def put_belt_defect(rng, conveyor, cause, size, sign, truth) -> dict:
    length = conveyor["belt"]["length_m"]
    splices = conveyor["belt"]["splices"]
    if cause == "crooked_splice":
        at = splices[int(rng.integers(len(splices)))]
        truth.update(
            component=at["name"], belt_position_m=at["belt_position_m"], pattern="travelling"
        )
        return {"at": at["belt_position_m"], "angle": math.radians(size) * -sign, "over": 0.5}
    while True:
        at = float(rng.uniform(0, length))
        if all(
            abs((at - s["belt_position_m"] + length / 2) % length - length / 2) > 8 for s in splices
        ):
            break
    over = (
        float(rng.uniform(1, 3)) if cause == "one_sided_belt_damage" else float(rng.uniform(15, 40))
    )
    angle = math.radians(size) if cause == "one_sided_belt_damage" else size * over
    truth.update(belt_position_m=round(at, 1), extent_m=round(over, 1), pattern="travelling")
    return {"at": at, "angle": angle * -sign, "over": over}


def put_fixed_fault(rng, world, conveyor, cause, size, sign, truth) -> None:
    truth["pattern"] = "load-dependent" if cause == "off_centre_loading" else "fixed"
    rolls = world.rolls
    by_name = {p.name: p for p in world.pulleys}
    if cause in ("carrying_idlers_skewed", "return_idler_skewed"):
        mine = np.flatnonzero(
            rolls.carrying if cause[0] == "c" else ~rolls.carrying & ~rolls.self_aligning
        )
        mine = mine[rolls.at_m[mine] > 6.0] if cause[0] == "c" else mine
        count = int(rng.integers(2, 9) if cause[0] == "c" else rng.integers(1, 4))
        start = int(rng.integers(0, len(mine) - count))
        chosen = mine[start : start + count]
        rolls.eps[chosen] += sign * math.radians(size)
        middle = chosen[(count - 1) // 2]
        truth.update(component=rolls.names[middle], position_m=round(float(rolls.at_m[middle]), 3))
    elif cause == "self_aligning_idler_stuck":
        mine = np.flatnonzero(rolls.self_aligning & ~rolls.carrying)
        if not len(mine):
            raise Useless
        one = int(rng.choice(mine))
        rolls.stuck[one] = True
        rolls.eps[one] = sign * math.radians(size)
        truth.update(component=rolls.names[one], position_m=round(float(rolls.at_m[one]), 3))
    elif cause == "structure_bowed":
        half = float(rng.uniform(6, 25))
        if world.head_m < 2 * half + 12:
            raise Useless
        centre = float(rng.uniform(half + 6, world.head_m - half - 3))
        height = sign * size / 1000
        world.bow = lambda s: np.where(
            np.abs(s - centre) < half, height * np.cos(np.pi * (s - centre) / (2 * half)) ** 2, 0.0
        )
        world.bow_turns_idlers = bool(rng.random() < 0.5)
        near = int(np.argmin(np.abs(rolls.at_m - centre)))
        truth.update(component=rolls.names[near], position_m=round(centre, 1), extent_m=2 * half)
    elif cause == "off_centre_loading":
        world.load_left_m = sign * size / 1000
        truth.update(component="LOAD", position_m=world.load_from_m)
    else:
        _pulley_fault(rng, world, conveyor, by_name, cause, size, sign, truth)


def _pulley_fault(rng, world, conveyor, by_name, cause, size, sign, truth) -> None:
    prefix = cause.split("_")[0]
    names = {
        "tail": ["TAIL"],
        "head": ["HEAD"],
        "take": ["TAKEUP"],
        "bend": ["SNUB", "BEND1", "BEND2"],
    }[prefix]
    names = [n for n in names if n in by_name]
    if not names:
        raise Useless
    pulley = by_name[str(rng.choice(names))]
    part = next(p for p in conveyor["components"] if p.get("name") == pulley.name)
    truth.update(component=pulley.name, position_m=part["position_m"])
    if "build_up" in cause or "worn" in cause:
        diameter = part["diameter_mm"] / 1000
        kappa = size / 1000 / (diameter * world.width_m)
        tension = float(world.tension_at(np.array([pulley.at_m]), True)[0])
        cap = tension * world.width_m / (6 * world.bending)
        pulley.curvature = -sign * cap * math.tanh(kappa / cap)
        return
    start, end = math.radians(part["in_deg"]), math.radians(part["out_deg"])
    # The carriage and the base of a pulley shift along the belt, seldom across it.
    phi = start if abs(abs(end - start) - math.pi) < 0.5 or rng.random() < 0.5 else end
    psi = -sign * math.radians(size)
    theta = np.linspace(start, end, 181)
    pulley.eps_in = -psi * math.cos(phi - start)
    pulley.eps_out = -psi * math.cos(phi - end)
    pulley.shift_m = -psi * pulley.arc_m * float(np.mean(np.cos(phi - theta)))
