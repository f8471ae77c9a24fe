"""What a timed look says: does the wander come round with the belt, and with which part of it.

A defect that travels with the belt passes the observer once a revolution. A log is folded at the
revolution time and each revolution predicted from the others; taps are put on the clock face of
the revolution. The belt position of the defect follows from the passes of the reference splice: a
place ahead of the splice passes before the splice does.
"""

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.evidence import TimedLook
from diagnostics.inference.vocabulary import TapEvent, TimedLookKind
from diagnostics.mechanics.nodes import Floats
from plant.loop.path import belt_revolution_time_s
from plant.loop.vocabulary import Side

# Fewer turns of the belt than this say nothing; three are the minimum that is asked for.
LEAST_PASSES = 2.0
ASKED_PASSES = 3
# The revolution time is known this well from belt length and speed, and this well from passes of
# the splice; a log is folded at every time in between. Engineering judgement.
TIME_UNCERTAINTY = 0.025
TIMED_UNCERTAINTY = 0.005
_TIMES_TRIED = 51
_BIN_M = 5.0
_FEWEST_BINS = 12
# Weights of the log likelihood ratio, fitted on simulated watches (bump 25 and 45 mm, wander 5 mm,
# noise 4 mm); engineering judgement beyond that, to be calibrated.
_PER_SHARE, _PER_MM, _LEAST_BUMP_MM, _BUMP_SHARE_OF_OFFSET = 14.0, 0.12, 12.0, 0.35
_USUAL_BUMP_MM = 18.0
_LOG_RANGE, _NO_BUMP = (-4.0, 9.0), -3.5
_TAPS_RANGE, _TAPS_BY_CHANCE = (-3.0, 8.0), 1.2
# How well the belt position of a defect is found at best: 90 % within 3 m; engineering
# judgement. [m]
POSITION_SPREAD_M = 1.8


@dataclass(frozen=True)
class Travel:
    """What one timed look, or the best of several, says about a defect of the belt.

    Attributes
    ----------
    passes : float
        Turns of the belt that were watched.
    log_ratio : float
        Natural log of the likelihood ratio "travels with the belt" against "does not"; 0 when the
        look was too short.
    belt_position_m : float or None
        Where on the belt the extreme lies, from the reference splice; None when no pass of the
        splice was noted or nothing travels. [m]
    spread_m : float
        Standard deviation of that. [m]
    side : Side or None
        To which side the belt goes as the extreme passes.
    bump_mm : float or None
        How far, from a log. [mm]
    """

    passes: float
    log_ratio: float
    belt_position_m: float | None
    side: Side | None = None
    bump_mm: float | None = None
    spread_m: float = POSITION_SPREAD_M

    @property
    def is_too_short(self) -> bool:
        return self.passes < LEAST_PASSES


def read_timed_look(look: TimedLook, belt_length_m: float, speed_mps: float) -> Travel:
    """Fold one timed look at the belt's revolution time.

    Parameters
    ----------
    look : TimedLook
    belt_length_m, speed_mps : float
        Belt length, > 0 [m], and speed, not 0. [m/s]

    Returns
    -------
    Travel
    """
    nominal_s = belt_revolution_time_s(belt_length_m, speed_mps)
    passes = _watched_s(look) / nominal_s
    if passes < LEAST_PASSES:
        return Travel(passes, 0.0, None)
    if look.kind is TimedLookKind.TAPS:
        return _from_taps(look, nominal_s, belt_length_m, passes)
    return _from_log(look, nominal_s, belt_length_m, passes)


def _watched_s(look: TimedLook) -> float:
    """How long was really watched: a log cannot have lasted longer than its samples."""
    if look.kind is TimedLookKind.TAPS:
        return look.duration_s
    sampled_s = len(look.offsets_mm) / (look.rate_hz or 1.0)
    return min(look.duration_s, sampled_s)


def strongest(travels: tuple[Travel, ...]) -> Travel | None:
    """The look that says most; None when there is none."""
    return max(travels, key=lambda one: (abs(one.log_ratio), one.passes), default=None)


def _from_taps(look: TimedLook, nominal_s: float, length_m: float, passes: float) -> Travel:
    splices = [tap.at_s for tap in look.taps if tap.event is TapEvent.SPLICE]
    splices += look.splice_passes_s
    turn_s = _turn_between(splices, nominal_s) or nominal_s
    middles, sides = _visits(look, turn_s)
    if not middles:
        return Travel(passes, -_TAPS_BY_CHANCE, None)
    hand = complex(np.mean(np.exp(2j * np.pi * np.array(middles) / turn_s)))
    ratio = _clipped(len(middles) * abs(hand) ** 2 - _TAPS_BY_CHANCE, _TAPS_RANGE)
    if ratio <= 0:
        return Travel(passes, ratio, None)
    at_s = float(np.angle(hand)) / (2 * np.pi) * turn_s
    side = Side.of(sum(one.sign for one in sides) or sides[0].sign)
    return Travel(passes, ratio, _belt_position(at_s, splices, turn_s, length_m), side)


def _visits(look: TimedLook, turn_s: float) -> tuple[list[float], list[Side]]:
    """Middle of each way over and back; the tap itself where the way back was missed."""
    over = {TapEvent.OVER_LEFT: Side.LEFT, TapEvent.OVER_RIGHT: Side.RIGHT}
    moves = [tap for tap in look.taps if tap.event is not TapEvent.SPLICE]
    middles, sides = [], []
    for number, tap in enumerate(moves):
        if tap.event not in over:
            continue
        back = next((one for one in moves[number + 1 :][:1] if one.event is TapEvent.BACK), tap)
        in_time = back.at_s - tap.at_s < turn_s / 2
        middles.append((tap.at_s + back.at_s) / 2 if in_time else tap.at_s)
        sides.append(over[tap.event])
    return middles, sides


def _turn_between(splices: list[float], nominal_s: float) -> float | None:
    """Revolution time from passes of the splice; None where they do not fit the nominal one."""
    ordered = sorted(splices)
    if len(ordered) < 2:
        return None
    way = ordered[-1] - ordered[0]
    turns = round(way / nominal_s)
    if turns < 1 or abs(way / turns / nominal_s - 1) > 2 * TIME_UNCERTAINTY:
        return None
    return way / turns


def _from_log(look: TimedLook, nominal_s: float, length_m: float, passes: float) -> Travel:
    offsets = np.array(look.offsets_mm)
    times = np.arange(len(offsets)) / (look.rate_hz or 1.0)
    if len(offsets) < 2 * _FEWEST_BINS:
        return Travel(passes, 0.0, None)
    bins = _bins(length_m, nominal_s, look.rate_hz or 1.0)
    timed_s = _turn_between(list(look.splice_passes_s), nominal_s)
    unsure = TIME_UNCERTAINTY if timed_s is None else TIMED_UNCERTAINTY
    tried = (timed_s or nominal_s) * np.linspace(1 - unsure, 1 + unsure, _TIMES_TRIED)
    folds = [_folded(times, offsets, float(turn_s), bins) for turn_s in tried]
    shares = [_explained(fold) for fold in folds]
    best = int(np.argmax(shares))
    turn_s = float(tried[best])
    smooth = _smoothed(_mean_over_turns(folds[best]))
    peak = int(np.argmax(np.abs(smooth)))
    bump_mm = float(smooth[peak])
    ratio = _log_ratio(shares[best], abs(bump_mm), abs(float(np.median(offsets))))
    if ratio <= 0:
        return Travel(passes, ratio, None, bump_mm=abs(bump_mm))
    at_s = (peak + 0.5 + _between_bins(smooth, peak)) / bins * turn_s
    position = _belt_position(at_s, list(look.splice_passes_s), turn_s, length_m)
    spread_m = max(POSITION_SPREAD_M, length_m / bins / 2)
    return Travel(passes, ratio, position, Side.of(bump_mm), abs(bump_mm), spread_m)


def _bins(length_m: float, turn_s: float, rate_hz: float) -> int:
    """About 5 m each, but never finer than the samples lie."""
    return max(_FEWEST_BINS, min(round(length_m / _BIN_M), int(turn_s * rate_hz)))


def _folded(times: Floats, offsets: Floats, turn_s: float, bins: int) -> Floats:
    """Mean offset per revolution and bin, less the revolution's median; NaN where unseen."""
    # Only turns with a sample in them: a slow sensor may miss whole turns.
    turn = np.unique(np.floor(times / turn_s).astype(int), return_inverse=True)[1]
    slot = np.minimum((times / turn_s % 1.0 * bins).astype(int), bins - 1)
    total, count = np.zeros((turn[-1] + 1, bins)), np.zeros((turn[-1] + 1, bins))
    np.add.at(total, (turn, slot), offsets)
    np.add.at(count, (turn, slot), 1.0)
    mean = np.where(count > 0, total / np.maximum(count, 1), np.nan)
    return mean - np.nanmedian(mean, axis=1, keepdims=True)


def _mean_over_turns(fold: Floats) -> Floats:
    """Mean of the revolutions in each bin; 0 where none was seen."""
    known = np.isfinite(fold)
    total: Floats = np.where(known, fold, 0.0).sum(axis=0)
    return total / np.maximum(known.sum(axis=0), 1)


def _explained(fold: Floats) -> float:
    """Share of a revolution's variance that the other revolutions predict."""
    known = np.isfinite(fold)
    filled = np.where(known, fold, 0.0)
    others_count = known.sum(axis=0) - known
    others = (filled.sum(axis=0) - filled) / np.maximum(others_count, 1)
    usable = known & (others_count > 0)
    spread = float(np.sum(filled[usable] ** 2))
    if spread <= 0:
        return 0.0
    return 1 - float(np.sum((filled - others)[usable] ** 2)) / spread


def _smoothed(fold: Floats) -> Floats:
    padded = np.concatenate([fold[-1:], fold, fold[:1]])
    return np.convolve(padded, [0.25, 0.5, 0.25], mode="valid")


def _between_bins(smooth: Floats, peak: int) -> float:
    """Top of the parabola through the peak and its neighbours, -0.5 to 0.5 bins from the peak."""
    before, top, after = (float(smooth[(peak + step) % len(smooth)]) for step in (-1, 0, 1))
    bend = before - 2 * top + after
    return 0.0 if bend == 0 else _clipped(0.5 * (before - after) / bend, (-0.5, 0.5))


def _log_ratio(share: float, bump_mm: float, offset_mm: float) -> float:
    if bump_mm < max(_LEAST_BUMP_MM, _BUMP_SHARE_OF_OFFSET * offset_mm):
        return _NO_BUMP
    raw = _PER_SHARE * share + _PER_MM * (bump_mm - _USUAL_BUMP_MM)
    return _clipped(raw, _LOG_RANGE)


def _clipped(value: float, bounds: tuple[float, float]) -> float:
    return min(max(value, bounds[0]), bounds[1])


def _belt_position(
    at_s: float, splices: list[float], turn_s: float, length_m: float
) -> float | None:
    """b = v (t_splice - t_defect), once round at the most."""
    if not splices:
        return None
    hand = np.mean(np.exp(2j * np.pi * (np.array(splices) - at_s) / turn_s))
    if abs(hand) < 1e-9 or not math.isfinite(abs(hand)):
        return None
    return float(np.angle(hand) / (2 * np.pi)) % 1.0 * length_m
