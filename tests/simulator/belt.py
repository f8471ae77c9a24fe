"""Where the belt runs: nonlinear finite differences, span by span between pulleys, by Newton."""

import math
from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

STOP_N_M2 = 60_000.0
SELF_ALIGNING_LIMIT = math.radians(5)


@dataclass
class Rolls:
    """Idler sets: place, weights of belt and load they carry [N], heading they impose [rad]."""

    names: list[str]
    at_m: np.ndarray
    carrying: np.ndarray
    spacing_m: np.ndarray
    self_aligning: np.ndarray
    eps: np.ndarray
    stuck: np.ndarray


@dataclass
class Pulley:
    name: str
    at_m: float
    arc_m: float
    eps_in: float = 0.0
    eps_out: float = 0.0
    shift_m: float = 0.0
    curvature: float = 0.0


@dataclass
class World:
    """The conveyor as it truly is, which differs from its register."""

    rolls: Rolls
    pulleys: list[Pulley]
    length_m: float
    head_m: float
    load_from_m: float
    width_m: float
    bending: float
    belt_n_m: float
    load_n_m: float
    tension_at: object
    friction: float
    slip_rad: float
    tilt_rad: float
    trough_rad: float
    vee_rad: float
    steering: float
    clearance_m: float
    load_left_m: float = 0.0
    bow: object = None
    bow_turns_idlers: bool = True


def steady_offsets(
    world: World, *, loaded: bool, step_m: float = 0.5
) -> tuple[np.ndarray, np.ndarray]:
    """Places and offsets [m] of the steady belt, once round.

    Unknowns: y on an even grid of each span. Each span has four conditions: position and heading
    where it leaves one pulley, heading and bending where it meets the next.
    """
    spans = _spans(world)
    grids = [np.linspace(a, b, max(8, math.ceil((b - a) / step_m)) + 1) for a, b, _, _ in spans]
    s = np.concatenate(grids)
    starts = np.cumsum([0, *[len(g) for g in grids]])
    bed = _Bed(world, grids, starts, s, loaded)
    y = np.zeros(len(s))
    fixed = _fixed_part(world, spans, grids, starts, s, loaded)
    matrix, rhs = fixed
    for _ in range(60):
        force, slope = bed.forces(y)
        residual = matrix @ y - rhs - force
        jacobian = (matrix - slope).tocsc()
        change = -splu(jacobian).solve(residual)
        # Friction that lets go makes the full step overshoot.
        scale = min(1.0, 0.03 / max(np.abs(change).max(), 1e-12))
        y = y + max(scale, 0.2) * change
        if np.abs(change).max() < 2e-5:
            break
    return s, y


def _spans(world: World):
    pulleys = world.pulleys
    out = []
    for index, pulley in enumerate(pulleys):
        before = pulleys[index - 1]
        start = 0.0 if index == 0 else before.at_m + before.arc_m
        out.append((start, pulley.at_m, before, pulley))
    return out


def _fixed_part(world, spans, grids, starts, s, loaded):
    """Linear rows: beam on the inside of spans, pulley conditions at their ends."""
    n = len(s)
    rows, cols, vals = [], [], []
    rhs = np.zeros(n)

    def put(r, c, v):
        rows.append(r)
        cols.append(c)
        vals.append(v)

    tension = world.tension_at(s, loaded)
    for index, (_, _, before, after) in enumerate(spans):
        g, o = grids[index], starts[index]
        h = g[1] - g[0]
        m = len(g)
        ei = world.bending / h**4
        inner = np.arange(2, m - 2)
        t_left = 0.5 * (tension[o + inner - 1] + tension[o + inner]) / h**2
        t_right = 0.5 * (tension[o + inner + 1] + tension[o + inner]) / h**2
        for shift, value in (
            (-2, np.full(len(inner), ei)),
            (-1, -4 * ei - t_left),
            (0, 6 * ei + t_left + t_right),
            (1, -4 * ei - t_right),
            (2, np.full(len(inner), ei)),
        ):
            rows.extend(o + inner)
            cols.extend(o + inner + shift)
            vals.extend(value)
        last_before = starts[index] - 1 if index else n - 1
        scale = ei
        put(o, o, scale)
        put(o, last_before, -scale)
        rhs[o] = scale * before.shift_m
        for c, v in ((0, -1.5), (1, 2.0), (2, -0.5)):
            put(o + 1, o + c, scale * v)
        rhs[o + 1] = scale * h * before.eps_out
        e = o + m - 1
        for c, v in ((0, 1.5), (-1, -2.0), (-2, 0.5)):
            put(e, e + c, scale * v)
        rhs[e] = scale * h * after.eps_in
        for c, v in ((0, 2.0), (-1, -5.0), (-2, 4.0), (-3, -1.0)):
            put(e - 1, e + c, scale * v)
        rhs[e - 1] = scale * h * h * after.curvature
        if world.bow is not None:
            bow = world.bow(s[o : o + m])
            second = np.gradient(np.gradient(bow, h), h)
            fourth = np.gradient(np.gradient(second, h), h)
            rhs[o + inner] -= (
                world.bending * fourth - tension[o + inner[0] : o + inner[-1] + 1].mean() * second
            )[inner]
    return sparse.csr_matrix((vals, (rows, cols)), shape=(n, n)), rhs


class _Bed:
    """Rolls and trough as forces per metre at grid nodes and their slopes."""

    def __init__(self, world, grids, starts, s, loaded):
        self.world = world
        rolls = world.rolls
        node = np.clip(np.searchsorted(s, rolls.at_m), 1, len(s) - 1)
        node = np.where(
            np.abs(s[node - 1] - rolls.at_m) < np.abs(s[node] - rolls.at_m), node - 1, node
        )
        low = np.concatenate(
            [[o + 2, o + len(g) - 3] for g, o in zip(grids, starts[:-1], strict=True)]
        ).reshape(-1, 2)
        which = np.searchsorted(starts, node, "right") - 1
        self.node = np.clip(node, low[which, 0], low[which, 1])
        self.h = np.array([g[1] - g[0] for g in grids])[which]
        self.n = len(s)
        on_load = rolls.carrying & (rolls.at_m >= world.load_from_m) & loaded
        self.belt_w = world.belt_n_m * rolls.spacing_m
        self.load_w = np.where(on_load, world.load_n_m * rolls.spacing_m, 0.0)
        angle = np.where(rolls.carrying, world.trough_rad, world.vee_rad)
        tilt = np.where(rolls.carrying, world.tilt_rad, 0.0)
        share = 2 * np.sin(angle) + 2 * world.friction / world.slip_rad * tilt * np.cos(angle)
        self.k_belt = share * self.belt_w / world.width_m
        self.k_load = share * 1.3 * self.load_w / world.width_m
        self.grip = world.friction * (self.belt_w + self.load_w)
        self.grip = np.where(rolls.self_aligning, 1.3 * self.grip, self.grip)
        self.bow_slope = 0.0
        if world.bow is not None and not world.bow_turns_idlers:
            self.bow_slope = (world.bow(rolls.at_m + 0.05) - world.bow(rolls.at_m - 0.05)) / 0.1

    def forces(self, y):
        w, rolls = self.world, self.world.rolls
        i, h = self.node, self.h
        slope = (y[i + 1] - y[i - 1]) / (2 * h)
        offset = y[i]
        turned = np.where(
            rolls.stuck,
            0.0,
            np.where(
                rolls.self_aligning,
                np.clip(-w.steering * offset, -SELF_ALIGNING_LIMIT, SELF_ALIGNING_LIMIT),
                0.0,
            ),
        )
        slip = (rolls.eps + turned - self.bow_slope - slope) / w.slip_rad
        held = slip / (1 + np.abs(slip) ** 3) ** (1 / 3)
        d_held = 1 / (1 + np.abs(slip) ** 3) ** (4 / 3) / w.slip_rad
        force = self.grip * held
        d_y = np.where(
            rolls.self_aligning & ~rolls.stuck & (np.abs(turned) < SELF_ALIGNING_LIMIT),
            -w.steering,
            0.0,
        )
        d_force_y = self.grip * d_held * d_y
        d_force_slope = -self.grip * d_held
        rel = offset / w.clearance_m
        force -= self.k_belt * offset * (1 + 0.5 * rel**2)
        d_force_y -= self.k_belt * (1 + 1.5 * rel**2)
        lo = offset + w.load_left_m * -1.0
        rel_l = lo / w.clearance_m
        force -= self.k_load * lo * (1 + 0.2 * rel_l**2)
        d_force_y -= self.k_load * (1 + 0.6 * rel_l**2)
        over = np.abs(offset) - w.clearance_m
        stop = np.where(over > 0, STOP_N_M2 * over * rolls.spacing_m, 0.0)
        force -= np.sign(offset) * stop
        d_force_y -= np.where(over > 0, STOP_N_M2 * rolls.spacing_m, 0.0)
        total = np.zeros(self.n)
        np.add.at(total, i, force / h)
        rows = np.concatenate([i, i, i])
        cols = np.concatenate([i, i + 1, i - 1])
        vals = np.concatenate(
            [d_force_y / h, d_force_slope / (2 * h * h), -d_force_slope / (2 * h * h)]
        )
        return total, sparse.csr_matrix((vals, (rows, cols)), shape=(self.n, self.n))


def travelling_shape(*, bending, tension, centring, curvature, half_m=70.0, step_m=0.25):
    """Offset around a defect that moves with the belt, on a long homogeneous stretch.

    `curvature(x)` is the natural curvature of the belt [1/m], + turning right. Solves
    EI (Y'' - curvature)'' - T Y'' + k Y = 0 with clamped far ends.
    """
    x = np.arange(-half_m, half_m + step_m / 2, step_m)
    n = len(x)
    h = step_m
    second = sparse.diags([1.0, -2.0, 1.0], [-1, 0, 1], shape=(n, n)) / h**2
    matrix = (bending * second @ second - tension * second + centring * sparse.identity(n)).tocsc()
    return x, splu(matrix).solve(bending * (second @ curvature(x)))
