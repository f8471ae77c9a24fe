"""Weighing one timed look: does something travel, where on the belt, how long does a turn take."""

import math
from dataclasses import dataclass, replace

import numpy as np

from diagnostics.inference.evidence import TimedLook
from diagnostics.inference.vocabulary import TapEvent, TimedLookKind
from diagnostics.inference.watching import folding, placing, samples, sharing, tapping, turning
from diagnostics.inference.watching.samples import Samples
from diagnostics.inference.watching.travel import ASKED_PASSES, LEAST_PASSES, Travel
from diagnostics.inference.watching.turning import Turns, TurnTime
from diagnostics.mechanics.nodes import Floats
from plant.loop.path import belt_revolution_time_s
from plant.loop.vocabulary import Side

# A log with fewer samples cannot be folded.
_FEWEST_SAMPLES = 24
# A smaller bump, or one small against what stays in place, is not what people complain of: it
# speaks a little against a defect of the belt. Engineering judgement, tried on simulated watches.
_LEAST_BUMP_MM, _BUMP_SHARE_OF_OFFSET, _MINOR = 6.0, 0.2, -1.0
# The register may be wrong by more than it should: so far it is searched where the splice did not
# tell, and so much stands against it before anything was seen.
_FAR_UNCERTAINTY, _FAR_HANDICAP = 0.15, math.log(10)
# One watch is never surer than this, whatever the figures say: whoever taps may see what they
# expect, and what moves the belt in step with it need not be the belt. Engineering judgement.
_RATIO_RANGE = (-4.0, 7.0)
# Longer than so many turns the speed itself drifts; the rest is left out of the fold.
MOST_TURNS = 60.0


@dataclass(frozen=True)
class Weighed:
    """A look that was weighed.

    Attributes
    ----------
    travel : Travel
    turn : TurnTime
    turns : Turns or None
        What was tried; None when the look was too short or too sparse.
    extent_m : float or None
        Over how much belt the bump shows. [m]
    is_minor : bool
        Something comes round, but too little to complain of.
    is_sparse : bool
        Too few samples to fold.
    """

    travel: Travel
    turn: TurnTime
    turns: Turns | None = None
    extent_m: float | None = None
    is_minor: bool = False
    is_sparse: bool = False


def weigh_watch(look: TimedLook, belt_length_m: float, speed_mps: float) -> Weighed:
    """Whether something travels, where on the belt, and how long a turn takes.

    Parameters
    ----------
    look : TimedLook
    belt_length_m, speed_mps : float
        Of the register: belt length, > 0 [m], and speed, not 0. [m/s]
    """
    register_s = belt_revolution_time_s(belt_length_m, speed_mps)
    log = log_of(look)
    watched_s = _watched_s(look, log)
    passes_s = splice_passes_of(look)
    fit = turning.fit_splices(passes_s, register_s)
    turn_s = fit.turn_s if fit is not None else register_s
    passes = watched_s / turn_s
    is_log = look.kind is TimedLookKind.LOG
    is_sparse = is_log and (log is None or len(log.times_s) < _FEWEST_SAMPLES)
    if passes < LEAST_PASSES or is_sparse:
        return Weighed(
            Travel(passes, 0.0, None), _untold(register_s, fit, passes_s), is_sparse=is_sparse
        )
    watch = _Watch(look, log, min(watched_s, MOST_TURNS * turn_s), belt_length_m, speed_mps)
    found = _weigh(watch, register_s, passes_s, turning.TIME_UNCERTAINTY)
    if fit is None and passes >= ASKED_PASSES:
        far = _weigh(watch, register_s, passes_s, _FAR_UNCERTAINTY, _FAR_HANDICAP)
        if far.travel.log_ratio > max(found.travel.log_ratio, 0.0):
            found = far
    ratio = min(max(found.travel.log_ratio, _RATIO_RANGE[0]), _RATIO_RANGE[1])
    passes = watched_s / found.turn.seconds
    return replace(found, travel=replace(found.travel, passes=passes, log_ratio=ratio))


def splice_passes_of(look: TimedLook) -> tuple[float, ...]:
    """Passes of the reference splice, tapped or noted, in order. [s]"""
    tapped = [tap.at_s for tap in look.taps if tap.event is TapEvent.SPLICE]
    return tuple(sorted([*tapped, *look.splice_passes_s]))


@dataclass(frozen=True)
class _Watch:
    look: TimedLook
    log: Samples | None
    watched_s: float
    length_m: float
    speed_mps: float


def _weigh(
    watch: _Watch,
    register_s: float,
    passes_s: tuple[float, ...],
    uncertainty: float,
    handicap: float = 0.0,
) -> Weighed:
    if watch.log is not None:
        return _weigh_log(watch, watch.log, register_s, passes_s, uncertainty, handicap)
    turns = turning.candidates(
        register_s, passes_s, watch.watched_s, tapping.RESOLUTION_S, uncertainty
    )
    visits = tapping.visits_of(watch.look.taps, turns.middle_s)
    found = tapping.weigh_taps(visits, turns, watch.watched_s)
    lasted = [one.lasted_s for one in visits if one.lasted_s is not None]
    extent_m = float(np.median(lasted)) * abs(watch.speed_mps) if lasted else None
    ratio = found.log_ratio - handicap
    turn = turning.turn_time(turns, found.turn_weights, register_s)
    travel = Travel(0.0, ratio, None)
    if ratio > 0:
        travel = _placed(travel, watch, turns, found.at_s, found.weights, extent_m or 0.0)
        travel = replace(travel, side=found.side)
    return Weighed(travel, turn, turns, extent_m)


def _weigh_log(
    watch: _Watch,
    log: Samples,
    register_s: float,
    passes_s: tuple[float, ...],
    uncertainty: float,
    handicap: float,
) -> Weighed:
    cut = log.until(watch.watched_s)
    step_s = folding.grid_step_s(cut.times_s, watch.speed_mps)
    turns = turning.candidates(register_s, passes_s, watch.watched_s, step_s, uncertainty)
    found = folding.weigh_log(
        cut.times_s, cut.offsets_mm, turns, step_s, watch.speed_mps, watch.length_m
    )
    ratio = found.log_ratio - handicap
    fold = sharing.fold_of(cut, found.turn_s, watch.length_m)
    bump_mm = sharing.bump_mm(fold, found.share, found.extent_m / watch.length_m / 2, found.side)
    turn = turning.turn_time(turns, found.turn_weights, register_s)
    fixed_mm = abs(float(np.median(cut.offsets_mm)))
    is_minor = ratio > 0 and bump_mm < max(_LEAST_BUMP_MM, _BUMP_SHARE_OF_OFFSET * fixed_mm)
    if ratio <= 0 or is_minor:
        travel = Travel(0.0, min(ratio, _MINOR) if is_minor else ratio, None, bump_mm=bump_mm)
        return Weighed(travel, turn, turns, is_minor=is_minor)
    travel = Travel(0.0, ratio, None, Side.of(found.side), bump_mm)
    travel = _placed(travel, watch, turns, found.at_s, found.weights, found.extent_m)
    return Weighed(travel, turn, turns, found.extent_m)


def _placed(
    travel: Travel, watch: _Watch, turns: Turns, at_s: Floats, weights: Floats, extent_m: float
) -> Travel:
    if turns.splice_s is None:
        return travel
    positions = placing.belt_position_m(
        at_s,
        turns.splice_s[:, None],
        turns.seconds[:, None],
        watch.length_m,
        is_backwards=watch.look.is_running_backwards,
    )
    place = placing.placed(
        positions.ravel(),
        weights.ravel(),
        watch.length_m,
        error_m=turns.splice_error_s * abs(watch.speed_mps),
        extent_m=extent_m,
    )
    return replace(travel, belt_position_m=place.position_m, spread_m=place.spread_m)


def log_of(look: TimedLook) -> Samples | None:
    if look.kind is not TimedLookKind.LOG:
        return None
    return samples.of_log(look.offsets_mm, look.times_s, look.rate_hz)


def _watched_s(look: TimedLook, log: Samples | None) -> float:
    """How long was really watched: a log cannot have lasted longer than its samples."""
    if look.kind is TimedLookKind.TAPS:
        return look.duration_s
    return 0.0 if log is None else min(look.duration_s, log.watched_s)


def _untold(
    register_s: float, fit: turning.SpliceFit | None, passes_s: tuple[float, ...]
) -> TurnTime:
    """The revolution time of a look too short to fold: what the splice says, else the register."""
    turns = turning.candidates(register_s, passes_s, register_s, register_s / 100)
    return turning.turn_time(turns, np.exp(turns.log_prior), register_s)
