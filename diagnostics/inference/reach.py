"""How far a cause is seen before and after it, for one load state.

A cause is seen a short reach upstream of its place, for the belt is stiff and under tension, and
dies away downstream where the trough, vee idlers or self-aligning idlers bring the belt back.
Position is handed downstream through pulleys; heading and bending are not, so that nothing is
seen upstream past a pulley.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnostics.inference.duty import duty_of
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.vocabulary import LoadState
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind

Floats = NDArray[np.float64]

# A self-aligning idler turns by so much per metre of offset, and carries more belt than its
# neighbours; engineering judgement, to be calibrated. [rad/m, share]
SELF_ALIGNING_RAD_M = 0.4
SELF_ALIGNING_CARRIES = 1.3
# Where nothing brings the belt back, not even this is certain; keeps the sum round the loop
# finite on belts without any trough. [1/m]
LEAST_DECAY_PER_M = 0.0005
# Vee return idlers whose angle is not stated; common practice, no source. [deg]
USUAL_VEE_DEG = 10.0


@dataclass(frozen=True)
class Steering:
    """How one run answers a roll that is out of square.

    Attributes
    ----------
    rising : array of complex, shape (2,)
        Rates at which effects grow toward their cause from upstream. [1/m]
    settling_per_m, decay_per_m : float
        Rates at which effects fade downstream: bending and heading quickly, offset slowly. [1/m]
    turned : array of complex, shape (4,)
        Share of each rate (rising, settling, decay) in the answer to a unit of heading. [m/(rad m)]
    tension_n, grip_n_rad_m, centring_n_m2 : float
        T [N], c [N/(rad m)] and k [N/m2] of the run.
    """

    rising: NDArray[np.complex128]
    settling_per_m: float
    decay_per_m: float
    turned: NDArray[np.complex128]
    tension_n: float
    grip_n_rad_m: float
    centring_n_m2: float

    @property
    def upstream_m(self) -> float:
        """Way over which the heading of a pulley gathers an offset. [m]"""
        return float(np.sum(1 / self.rising).real)

    def before_roll(self, way_m: Floats) -> Floats:
        """Answer to a unit of heading and metre, so far upstream of it. [m/(rad m)]"""
        shape = np.exp(-np.multiply.outer(way_m, self.rising)) @ self.turned[:2]
        return np.asarray(shape.real, dtype=float)

    def before_heading(self, way_m: Floats) -> Floats:
        """Offset upstream of a pulley that is met at a unit of heading, bending free. [m/rad]"""
        first, second = self.rising
        shares = np.array([second / first, -first / second]) / (second - first)
        shape = np.exp(-np.multiply.outer(way_m, self.rising)) @ shares
        return np.asarray(shape.real, dtype=float)

    def before_bend(self, way_m: Floats) -> Floats:
        """Offset upstream of a pulley that bends the belt by a unit of curvature. [m2]"""
        first, second = self.rising
        shares = np.array([1 / first, -1 / second]) / (second - first)
        shape = np.exp(-np.multiply.outer(way_m, self.rising)) @ shares
        return np.asarray(shape.real, dtype=float)


def steering_of(
    bending_nm2: float, tension_n: float, grip_n_rad_m: float, centring_n_m2: float
) -> Steering:
    """Reaches from the roots of the belt's equation on a uniform run.

    Parameters
    ----------
    bending_nm2, tension_n : float
        EI [N m2] and T [N], > 0.
    grip_n_rad_m : float
        c, > 0. [N/(rad m)]
    centring_n_m2 : float
        k, >= 0. [N/m2]

    Returns
    -------
    Steering

    Notes
    -----
    ``P(r) = EI r^4 - T r^2 + c r + k = 0``: the two roots with positive real part reach upstream.
    Of the others the smaller is the slow return to the centre, about k/c, the larger the settling
    of a heading. Unit heading: ``c exp(r x) / P'(r)``, downstream over the negative roots,
    upstream the negative of it over the positive ones.

    References
    ----------
    Beam under tension on gripping, centring rolls; own derivation.
    """
    roots = np.roots([bending_nm2, 0.0, -tension_n, grip_n_rad_m, centring_n_m2])
    ordered_roots = np.asarray(roots[np.argsort(-roots.real)], dtype=complex)
    rising, falling = _apart(ordered_roots[:2]), _apart(ordered_roots[2:])
    ordered = np.concatenate([rising, [falling[1], falling[0]]])
    slope = 4 * bending_nm2 * ordered**3 - 2 * tension_n * ordered + grip_n_rad_m
    sign = np.array([-1, -1, 1, 1])
    return Steering(
        rising=rising,
        settling_per_m=max(float(-falling[1].real), LEAST_DECAY_PER_M),
        decay_per_m=max(float(-falling[0].real), LEAST_DECAY_PER_M),
        turned=np.asarray(sign * grip_n_rad_m / slope, dtype=complex),
        tension_n=tension_n,
        grip_n_rad_m=grip_n_rad_m,
        centring_n_m2=centring_n_m2,
    )


def _apart(pair: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """Two equal roots moved a hair apart: the closed forms divide by their difference."""
    if abs(pair[0] - pair[1]) < 1e-6 * abs(pair[0]):
        return pair * np.array([1 + 1e-4, 1 - 1e-4])
    return pair


class LoopResponse:
    """The answer of one conveyor's belt in one load state to a unit of heading anywhere.

    Attributes
    ----------
    duty : Duty
    carrying, returning : Steering
    """

    def __init__(self, conveyor: ConveyorFacts, load: LoadState) -> None:
        self.conveyor = conveyor
        self.duty = duty_of(conveyor, load)
        self.carrying = steering_of(
            self.duty.bending_nm2,
            self.duty.carrying_tension_n,
            self.duty.grip_n_rad_m(is_carrying=True),
            self.duty.trough_n_m2(),
        )
        self.returning = steering_of(
            self.duty.bending_nm2,
            self.duty.tension_n,
            self.duty.grip_n_rad_m(is_carrying=False),
            self.duty.vee_n_m2(_vee_deg(conveyor)),
        )
        self._aligners = _aligners(conveyor.loop)
        self._leaving = _leaving_tangents(conveyor.loop)

    @property
    def loop(self) -> Loop:
        return self.conveyor.loop

    def run_before(self, position_m: float) -> Steering:
        """The run on which the belt arrives at a place; the head pulley ends the carrying run."""
        return self.carrying if 0 < position_m <= self.loop.head_m else self.returning

    def run_after(self, position_m: float) -> Steering:
        return self.carrying if position_m < self.loop.head_m else self.returning

    def faded(self, position_m: Floats) -> Floats:
        """Log of how much an offset has died away from the tail's leaving tangent on."""
        head_m = self.loop.head_m
        rolling = self.carrying.decay_per_m * np.minimum(position_m, head_m)
        rolling += self.returning.decay_per_m * np.maximum(position_m - head_m, 0.0)
        passed = np.searchsorted(self._aligners[0], position_m, side="left")
        aligned: Floats = rolling + self._aligners[1][passed]
        return aligned

    def downstream(self, seen_m: Floats, cause_m: Floats) -> Floats:
        """Share of an offset made at a cause that is left at a place, shape (seen, causes)."""
        whole = self.faded(np.array([self.loop.length_m]))[0]
        fading = self.faded(seen_m)[:, None] - self.faded(cause_m)[None, :]
        before = seen_m[:, None] < cause_m[None, :]
        once: Floats = np.exp(-np.where(before, fading + whole, fading))
        return once / (1 - math.exp(-whole))

    def is_before(self, seen_m: Floats, cause_m: Floats) -> NDArray[np.bool_]:
        """Whether places lie between a cause and the pulley before it, shape (seen, causes)."""
        ahead = self.ahead_m(seen_m, cause_m)
        last = np.searchsorted(self._leaving, cause_m, side="right") - 1
        result: NDArray[np.bool_] = ahead <= cause_m - self._leaving[last]
        return result

    def ahead_m(self, from_m: Floats, to_m: Floats) -> Floats:
        """Way from each place to each cause in the direction of travel, shape (from, to). [m]"""
        way: Floats = (to_m[None, :] - from_m[:, None]) % self.loop.length_m
        return way

    def to_heading(self, seen_m: Floats, cause_m: Floats) -> Floats:
        """Offset at places per radian and metre of idlers turned at causes. [m/(rad m)]"""
        is_carrying = cause_m <= self.loop.head_m
        way = self.ahead_m(seen_m, cause_m)
        passed = self.loop.length_m - way
        before, quick, slow = (np.empty_like(way) for _ in range(3))
        for run, mine in ((self.carrying, is_carrying), (self.returning, ~is_carrying)):
            before[:, mine] = run.before_roll(way[:, mine])
            slow[:, mine] = run.turned[3].real
            quick[:, mine] = run.turned[2].real * np.exp(-run.settling_per_m * passed[:, mine])
        after = slow * self.downstream(seen_m, cause_m) + quick
        result: Floats = np.where(self.is_before(seen_m, cause_m), before, after)
        return result

    def free_way_before_m(self, pulley_m: float) -> float | None:
        """Length of belt without idlers from the pulley before; None when idlers stand there."""
        last = int(np.searchsorted(self._leaving, pulley_m - 1e-6, side="right")) - 1
        start = float(self._leaving[last])
        idle = not any(
            start < place < pulley_m
            for part in self.loop.parts
            if part.is_idler
            for place in (part.first_m, part.last_m)
        )
        return pulley_m - start if idle else None


def _vee_deg(conveyor: ConveyorFacts) -> float:
    if conveyor.return_vee_deg > 0:
        return conveyor.return_vee_deg
    has_vee = bool(conveyor.loop.of_kind(ComponentKind.VEE_RETURN_IDLERS))
    return USUAL_VEE_DEG if has_vee else 0.0


def _aligners(loop: Loop) -> tuple[Floats, Floats]:
    """Places of self-aligning idlers and the log of decay after 0, 1, 2... of them."""
    found = sorted(
        (station.position_m, part.spacing_m or 1.2)
        for part in loop.of_kind(ComponentKind.SELF_ALIGNING_IDLER)
        for station in part.stations()
    )
    each = [SELF_ALIGNING_RAD_M * SELF_ALIGNING_CARRIES * spacing for _, spacing in found]
    return np.array([place for place, _ in found]), np.concatenate([[0.0], np.cumsum(each)])


def _leaving_tangents(loop: Loop) -> Floats:
    """Where the belt leaves each pulley, 0 for the tail, in order."""
    others = [
        pulley.first_m + pulley.arc_m
        for pulley in loop.pulleys
        if pulley.kind is not ComponentKind.TAIL_PULLEY
    ]
    return np.array(sorted([0.0, *others]))
