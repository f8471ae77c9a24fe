"""Random conveyors in the format of the case files."""

import math

import numpy as np

# Width [mm], strength classes and masses of plausible belts; ISO 251 widths.
_SIZES = {
    "short": ((40, 120), (500, 650, 800), ("EP",)),
    "medium": ((120, 320), (650, 800, 1000, 1200), ("EP",)),
    "long": ((320, 750), (1000, 1200, 1400, 1600), ("EP", "ST")),
    "overland": ((900, 1500), (1000, 1200), ("ST",)),
}
_SHARES = (0.25, 0.4, 0.25, 0.1)


def random_conveyor(rng: np.random.Generator, tag: str) -> dict:
    size = str(rng.choice(list(_SIZES), p=_SHARES))
    lengths, widths, carcasses = _SIZES[size]
    centre = round(float(rng.uniform(*lengths)), 1)
    width = int(rng.choice(widths))
    carcass = str(rng.choice(carcasses))
    speed = round(float(rng.uniform(1.6, 4.5)), 2)
    trough = int(rng.choice([20, 35, 35, 45]))
    lift = round(float(rng.uniform(0, 0.16 if size in ("short", "medium") else 0.05) * centre), 1)
    area = (0.9 * width / 1000 - 0.05) ** 2 * (0.08 + 0.002 * trough)
    capacity = round(float(rng.uniform(0.6, 1.0)) * area * speed * 1600 * 3.6, -1)
    belt = _belt(rng, width, carcass)
    parts, length = _parts(rng, size, centre, carcass)
    load = capacity / 3.6 / speed
    mass = belt["mass_kg_m2"] * width / 1000
    top = 0.022 * 9.81 * centre * (2 * mass + load + 20) + load * 9.81 * max(lift, 0)
    tension = max(0.55 * top, 12.5 * 0.6 * (mass + load) * 9.81) * float(rng.uniform(0.9, 1.5))
    belt["length_m"] = round(length, 3)
    count = max(1, min(6, int(length // 300) + 1))
    positions = [0.0, *sorted(float(x) for x in rng.uniform(0.1, 0.9, count - 1) * length)]
    belt["splices"] = [
        {"name": f"S{i + 1}", "belt_position_m": round(p, 1)} for i, p in enumerate(positions)
    ]
    gravity = any(part["kind"] == "take_up_pulley" for part in parts)
    return {
        "tag": tag,
        "size": size,
        "centre_distance_m": centre,
        "lift_m": lift,
        "speed_m_s": speed,
        "capacity_t_h": capacity,
        "trough_angle_deg": trough,
        "return_vee_deg": int(rng.choice([0, 0, 10])),
        "clearance_mm": int(60 + width * 0.055 // 10 * 10),
        "take_up": {
            "kind": "gravity" if gravity else "screw",
            "tension_kN": round(tension / 1000, 1),
        },
        "belt": belt,
        "components": parts,
    }


def _belt(rng: np.random.Generator, width: int, carcass: str) -> dict:
    if carcass == "ST":
        strength = int(rng.choice([1000, 1250, 1600, 2000]))
        return {
            "width_mm": width,
            "carcass": carcass,
            "strength_n_mm": strength,
            "modulus_kN_m": strength * 70,
            "mass_kg_m2": round(20 + strength / 400, 1),
        }
    strength = int(rng.choice([315, 400, 500, 630, 800, 1000]))
    return {
        "width_mm": width,
        "carcass": carcass,
        "strength_n_mm": strength,
        "modulus_kN_m": strength * 10,
        "mass_kg_m2": round(9 + strength / 200, 1),
    }


def _parts(rng, size, centre, carcass) -> tuple[list[dict], float]:
    diameter = {"short": 400, "medium": 630, "long": 800, "overland": 800}[size]
    load_at = round(float(rng.uniform(1.5, 3.0)), 1)
    parts: list[dict] = [
        {
            "name": "LOAD",
            "kind": "load_point",
            "run": "carrying",
            "position_m": load_at,
            "skirt_length_m": 3.0,
        },
        {
            "kind": "impact_idlers",
            "run": "carrying",
            "prefix": "I",
            "first_m": 1.2,
            "spacing_m": 0.5,
            "count": 8,
        },
    ]
    spacing = float(rng.choice([1.0, 1.2, 1.5]))
    sa_every = 45 if size == "overland" and rng.random() < 0.7 else 0
    _row(parts, "troughing_idlers", "carrying", "C", 5.7, centre - 1.0, spacing, sa_every)
    head_wrap = 200 if size != "short" and rng.random() < 0.5 else 180
    parts.append(_pulley("HEAD", "head_pulley", "head", centre, head_wrap, 0, -head_wrap, diameter))
    at = centre + math.pi * diameter / 1000 * head_wrap / 360
    if head_wrap == 200:
        small = diameter * 0.8
        parts.append(_pulley("SNUB", "snub_pulley", "return", at + 1.0, 20, -200, -180, small))
        at += 1.0 + math.pi * small / 1000 * 20 / 360
    pitch = float(rng.choice([2.4, 3.0]))
    sa_return = int(rng.choice([0, 16, 12]))
    tail_len = centre
    row = 0
    if size != "short":
        row = 1
        span = float(rng.uniform(0.1, 0.6)) * tail_len
        end = at + max(span, 12.0)
        _row(parts, "return_idlers", "return", "R", at + 1.5, end - 1.5, pitch, sa_return)
        small = diameter * 0.8
        drop = float(rng.uniform(4, 9))
        parts.append(_pulley("BEND1", "bend_pulley", "return", end, 90, 180, 270, small))
        at = end + math.pi * small / 1000 / 4 + drop
        parts.append(_pulley("TAKEUP", "take_up_pulley", "return", at, 180, 270, 90, diameter))
        at += math.pi * diameter / 1000 / 2 + drop
        parts.append(_pulley("BEND2", "bend_pulley", "return", at, 90, 90, 180, small))
        at += math.pi * small / 1000 / 4
        tail_len -= end - centre
    tail = round(at + tail_len, 3)
    _row(
        parts,
        "return_idlers",
        "return",
        "R" if not row else "Q",
        at + 1.9,
        tail - 1.5,
        pitch,
        sa_return,
    )
    parts.append(_pulley("TAIL", "tail_pulley", "tail", tail, 180, 180, 0, diameter))
    return parts, tail + math.pi * diameter / 1000 / 2


def _pulley(name, kind, run, at, wrap, in_deg, out_deg, diameter) -> dict:
    return {
        "name": name,
        "kind": kind,
        "run": run,
        "position_m": round(at, 3),
        "wrap_deg": wrap,
        "in_deg": in_deg,
        "out_deg": out_deg,
        "diameter_mm": diameter,
    }


def _row(parts, kind, run, letter, start, end, pitch, sa_every) -> None:
    """Groups of idlers with a self-aligning set after every so many."""
    at, number = start, 1
    while at <= end:
        room = int((end - at) // pitch) + 1
        count = min(room, sa_every) if sa_every else room
        parts.append(
            {
                "kind": kind,
                "run": run,
                "prefix": f"{letter}{number}-",
                "first_m": round(at, 3),
                "spacing_m": pitch,
                "count": count,
            }
        )
        at += count * pitch
        if sa_every and at <= end:
            parts.append(
                {
                    "name": f"SA-{letter}{number + 1}",
                    "kind": "self_aligning_idler",
                    "run": run,
                    "position_m": round(at, 3),
                    "spacing_m": pitch,
                }
            )
            at += pitch
        number += 1
