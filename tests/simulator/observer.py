"""A person who walks the belt and watches it: errs, rounds, leaves stations out, misremarks."""

import math
from functools import cached_property

import numpy as np

from tests.simulator.belt import travelling_shape


def shape_at(world, moving, s_at, loaded):
    near = np.argmin(np.abs(world.rolls.at_m - s_at))
    rolls = world.rolls
    carrying = bool(rolls.carrying[near])
    load = world.load_n_m if loaded and carrying and s_at > world.load_from_m else 0.0
    angle = world.trough_rad if carrying else world.vee_rad
    tilt = world.tilt_rad if carrying else 0.0
    share = 2 * math.sin(angle) + 2 * world.friction / world.slip_rad * tilt * math.cos(angle)
    k = share * (world.belt_n_m + 1.3 * load) / world.width_m
    tension = float(world.tension_at(np.array([s_at]), loaded)[0])
    over, angle_rad = moving["over"], moving["angle"]
    return travelling_shape(
        bending=world.bending,
        tension=tension,
        centring=max(k, 1.0),
        curvature=lambda x: np.where(np.abs(x) <= over / 2, angle_rad / over, 0.0),
    )


class Observer:
    """Sees with an error of his own, rounds, leaves stations out, remarks wrongly now and then."""

    def __init__(self, rng, conveyor, world, offsets, moving) -> None:
        self.rng, self.conveyor, self.world = rng, conveyor, world
        self.offsets, self.moving = offsets, moving
        self._read: dict[tuple[int, str], dict] = {}
        self.error = float(rng.uniform(0.010, 0.025))
        self.in_mm = bool(rng.random() < 0.5)
        self.phase = float(rng.uniform(0, world.length_m))

    @cached_property
    def stations(self) -> list[tuple[str, str, float]]:
        """Name, run and place of everywhere one can stand, from the tail on."""
        found = [
            (n, "carrying" if c else "return", float(at))
            for n, c, at in zip(
                self.world.rolls.names,
                self.world.rolls.carrying,
                self.world.rolls.at_m,
                strict=True,
            )
        ]
        for p in self.world.pulleys:
            run = {"TAIL": "tail", "HEAD": "head"}.get(p.name, "return")
            found.append((p.name, run, p.at_m))
        return sorted(found, key=lambda one: one[2])

    def walk(self, states) -> list[dict]:
        readings = []
        for state in states:
            everywhere = self.stations
            count = min(int(self.rng.integers(14, 60)), len(everywhere))
            keep = np.sort(self.rng.choice(len(everywhere), count, replace=False))
            must = [
                i
                for i, one in enumerate(everywhere)
                if one[0].isupper()
                and one[0] in ("TAIL", "HEAD", "TAKEUP", "BEND1", "BEND2")
                and self.rng.random() < 0.7
            ]
            for i in sorted({*keep.tolist(), *must}):
                readings.append(self._look(*everywhere[i], state))
        return readings

    def readings_at(self, numbers, state) -> list[dict]:
        """Readings at chosen stations, by their number in `stations`.

        A station is read once: asked again, or in another order, the same reading comes back.
        """
        for number in numbers:
            key = (int(number), state)
            if key not in self._read:
                chance = np.random.default_rng([self._seed, int(number), state == "loaded"])
                self._read[key] = self._look(*self.stations[number], state, rng=chance)
        return [self._read[int(number), state] for number in numbers]

    @cached_property
    def _seed(self) -> int:
        return int(self.rng.integers(2**62))

    def _look(self, name, run, at, state, *, rng=None) -> dict:
        rng = self.rng if rng is None else rng
        s, y = self.offsets[state]
        value = float(np.interp(at, s, y))
        caught = False
        if self.moving:
            length, speed = self.world.length_m, self.conveyor["speed_m_s"]
            chance = (float(rng.uniform(12, 32)) + 12 / speed) * speed / length
            if rng.random() < chance:
                _x, shape = shape_at(self.world, self.moving, at, state == "loaded")
                value += float(shape[np.argmax(np.abs(shape))])
                caught = True
        limit = self.world.clearance_m
        value = float(np.clip(value, -limit, limit)) + float(rng.normal(0, self.error))
        share = abs(value) / limit
        degree = (
            "centred"
            if share < 0.15
            else "slight"
            if share < 0.4
            else "half"
            if share < 0.8
            else "hard-over"
        )
        side = None if degree == "centred" else ("right" if value > 0 else "left")
        return {
            "station": name,
            "run": run,
            "position_m": round(at, 3),
            "load": state,
            "offset_mm": round(value * 200) * 5.0 if self.in_mm else None,
            "degree": degree,
            "side": side,
            "persistence": self._remark(rng, caught, degree == "centred"),
        }

    def _remark(self, rng, caught, centred) -> str | None:
        if caught and rng.random() < 0.88:
            return "comes-and-goes"
        roll = rng.random()
        if centred:
            return None if roll < 0.86 else "comes-and-goes" if roll < 0.94 else "no-pattern"
        return "steady" if roll < 0.88 else "comes-and-goes" if roll < 0.94 else "no-pattern"

    def watch(self, state) -> dict:
        rng, world = self.rng, self.world
        speed, length = self.conveyor["speed_m_s"], world.length_m
        turn = length / speed * float(rng.uniform(0.985, 1.015))
        everywhere = self.stations
        name, run, at = everywhere[int(rng.integers(len(everywhere)))]
        duration = turn * float(rng.uniform(2.2, 5.5))
        s, y = self.offsets[state]
        fixed = float(np.interp(at, s, y))
        first_splice = float(rng.uniform(0, turn))
        passes = np.arange(first_splice, duration, turn)
        look = {
            "station": name,
            "run": run,
            "position_m": round(at, 3),
            "duration_s": round(duration, 1),
        }
        bump = None
        if self.moving:
            # A place ahead of the splice passes before it.
            lead = self.moving["at"] / length * turn
            x, shape = shape_at(world, self.moving, at, state == "loaded")
            bump = (lead, x, shape)
        if rng.random() < 0.5:
            return look | self._log(duration, turn, first_splice, passes, fixed, bump, speed)
        return look | self._taps(duration, turn, first_splice, passes, bump)

    def _log(self, duration, turn, first, passes, fixed, bump, speed) -> dict:
        rate = float(self.rng.choice([0.5, 1, 2]))
        t = np.arange(0, duration, 1 / rate)
        wander = np.cumsum(self.rng.normal(0, 1, len(t)))
        wander = 0.005 * (wander - wander.mean()) / max(wander.std(), 1e-9)
        values = fixed + wander + self.rng.normal(0, 0.004, len(t))
        if bump:
            lead, x, shape = bump
            since = (t - (first - lead) + turn / 2) % turn - turn / 2
            # At time `since` after the defect's middle passed, the station sees the belt behind it.
            values += np.interp(-since * speed, x, shape, left=0, right=0)
        limit = self.world.clearance_m
        return {
            "kind": "log",
            "rate_hz": rate,
            "offset_mm": [round(float(v) * 1000) for v in np.clip(values, -limit, limit)],
            "splice_passes_s": [round(float(p), 1) for p in passes[:2]],
        }

    def _taps(self, duration, turn, first, passes, bump) -> dict:
        events = [(float(p), "splice") for p in passes]
        if bump:
            lead, _x, shape = bump
            peak = shape[np.argmax(np.abs(shape))]
            if abs(peak) > 0.02:
                word = "over-right" if peak > 0 else "over-left"
                wide = max(
                    1.0,
                    2.0
                    * np.sum(np.abs(shape) > abs(peak) / 2)
                    * 0.25
                    / self.conveyor["speed_m_s"]
                    / 2,
                )
                for k in range(-1, int(duration / turn) + 2):
                    middle = first - lead + k * turn
                    events += [(middle - wide / 2, word), (middle + wide / 2, "back")]
        for _ in range(self.rng.poisson(0.5)):
            at = float(self.rng.uniform(0, duration))
            events += [(at, str(self.rng.choice(["over-left", "over-right"]))), (at + 2, "back")]
        kept = [
            (at + float(self.rng.normal(0, 0.5)), word)
            for at, word in events
            if self.rng.random() > 0.05
        ]
        kept = sorted((round(at, 1), word) for at, word in kept if 0 <= at <= duration)
        return {"kind": "taps", "events": [{"t_s": at, "event": word} for at, word in kept]}
