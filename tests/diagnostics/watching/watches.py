"""Logs and taps of an invented belt: 300 m at 3 m/s, the splice passes at 20 s of each turn."""

import numpy as np

from diagnostics.inference.evidence import BeltFacts, ConveyorFacts, SpliceFact, Tap, TimedLook
from diagnostics.inference.vocabulary import TapEvent, TimedLookKind
from plant.loop.vocabulary import Run, Side
from tests.diagnostics import belts

LENGTH_M, SPEED_MPS, TURN_S = 300.0, 3.0, 100.0
SPLICE_S = 20.0
BELT = BeltFacts(1000, LENGTH_M, splices=(SpliceFact("S1", 0.0), SpliceFact("S2", 160.0)))


def conveyor() -> ConveyorFacts:
    return belts.conveyor(
        belts.INCLINE,
        belt=BELT,
        speed_mps=SPEED_MPS,
        left_words="sea side",
        right_words="walkway side",
    )


def a_log(
    defect_m: float | None = 40.0,
    *,
    bump_mm: float = 45.0,
    over_m: float = 6.0,
    turns: float = 4.0,
    turn_s: float = TURN_S,
    offset_mm: float = 0.0,
    rate_hz: float = 2.0,
    splices: int = 4,
    seed: int = 1,
    is_backwards: bool = False,
    noise_mm: float = 4.0,
) -> TimedLook:
    """Noise and slow wander, and a plateau of `over_m` each time the defect passes."""
    rng = np.random.default_rng(seed)
    times = np.arange(0, turns * turn_s, 1 / rate_hz)
    offsets = offset_mm + rng.normal(0, noise_mm, len(times)) + 1.25 * noise_mm * np.sin(times / 37)
    if defect_m is not None:
        lead_s = defect_m / LENGTH_M * turn_s * (-1 if is_backwards else 1)
        apart = (times - SPLICE_S + lead_s + turn_s / 2) % turn_s - turn_s / 2
        edge = np.maximum(np.abs(apart) * LENGTH_M / turn_s - over_m / 2, 0.0)
        offsets += bump_mm * np.exp(-0.5 * (edge / 3.0) ** 2)
    return TimedLook(
        "R1-5",
        Run.RETURN,
        160.0,
        TimedLookKind.LOG,
        turns * turn_s,
        offsets_mm=tuple(offsets.tolist()),
        times_s=tuple(times.tolist()),
        splice_passes_s=tuple(SPLICE_S + number * turn_s for number in range(splices)),
        is_running_backwards=is_backwards,
    )


def some_taps(
    defect_m: float | None = 40.0,
    *,
    side: Side = Side.LEFT,
    turns: int = 4,
    turn_s: float = TURN_S,
    splices: bool = True,
    is_backwards: bool = False,
) -> TimedLook:
    """A way over and back at every pass, and each pass of the splice."""
    over = TapEvent.OVER_LEFT if side is Side.LEFT else TapEvent.OVER_RIGHT
    taps = []
    for turn in range(turns):
        if splices:
            taps.append(Tap(turn * turn_s + SPLICE_S, TapEvent.SPLICE))
        if defect_m is not None:
            lead_s = defect_m / LENGTH_M * turn_s * (-1 if is_backwards else 1)
            middle_s = turn * turn_s + (SPLICE_S - lead_s) % turn_s
            taps += [Tap(middle_s - 1, over), Tap(middle_s + 1, TapEvent.BACK)]
    return TimedLook(
        "R1-5",
        Run.RETURN,
        160.0,
        TimedLookKind.TAPS,
        turns * turn_s,
        taps=tuple(sorted(taps, key=lambda one: one.at_s)),
        is_running_backwards=is_backwards,
    )
