"""The whole of what one timed look says, for the engine and for the person who made it."""

from dataclasses import dataclass, replace

from diagnostics.inference.evidence import BeltFacts, SpliceFact, TimedLook
from diagnostics.inference.vocabulary import TimedLookKind
from diagnostics.inference.watching import sharing, tapping
from diagnostics.inference.watching.sharing import CurvePoint, Shares
from diagnostics.inference.watching.travel import ASKED_PASSES, LEAST_PASSES, Travel
from diagnostics.inference.watching.turning import TurnTime
from diagnostics.inference.watching.weighed import (
    MOST_TURNS,
    Weighed,
    log_of,
    splice_passes_of,
    weigh_watch,
)
from plant.loop.vocabulary import Side


@dataclass(frozen=True)
class SpliceNear:
    """The nearest splice; `ahead_m` > 0 when the defect lies ahead of it in carrying travel."""

    name: str
    ahead_m: float
    is_reference: bool


@dataclass(frozen=True)
class VisitPoint:
    """One way over: in which turn, from 1, at which part of it, to which side."""

    turn: int
    share: float
    side: Side


@dataclass(frozen=True)
class WatchReading:
    """Everything one timed look says.

    Attributes
    ----------
    weighed : Weighed
    shares : Shares or None
        Of a log long enough.
    curve : tuple of CurvePoint
        The fold of a log; empty for taps.
    visits : tuple of VisitPoint
        The ways over of taps; empty for a log.
    splice_share : float or None
        Part of the turn, since the look began, at which the reference splice passes.
    splice_near : SpliceNear or None
    is_cut : bool
        Only the first turns of a very long look were folded.
    """

    weighed: Weighed
    shares: Shares | None = None
    curve: tuple[CurvePoint, ...] = ()
    visits: tuple[VisitPoint, ...] = ()
    splice_share: float | None = None
    splice_near: SpliceNear | None = None
    is_cut: bool = False

    @property
    def travel(self) -> Travel:
        return self.weighed.travel

    @property
    def turn(self) -> TurnTime:
        return self.weighed.turn

    @property
    def is_short(self) -> bool:
        """Enough to be read, but fewer turns than are asked for."""
        return LEAST_PASSES <= self.travel.passes < ASKED_PASSES


def read_watch(look: TimedLook, belt: BeltFacts, speed_mps: float) -> WatchReading:
    """Everything a timed look says, with the fold as it is drawn.

    Parameters
    ----------
    look : TimedLook
    belt : BeltFacts
        Belt length and splices as the register has them.
    speed_mps : float
        Belt speed of the register, not 0. [m/s]
    """
    weighed = weigh_watch(look, belt.length_m, speed_mps)
    turn_s = weighed.turn.seconds
    log = log_of(look)
    reading = WatchReading(
        weighed,
        splice_share=_splice_share(weighed, look),
        splice_near=_splice_near(weighed.travel, belt),
        is_cut=weighed.travel.passes > MOST_TURNS,
    )
    if look.kind is TimedLookKind.TAPS:
        return replace(reading, visits=_visit_points(look, turn_s))
    if log is None or weighed.is_sparse:
        return reading
    fold = sharing.fold_of(log.until(MOST_TURNS * turn_s), turn_s, belt.length_m)
    shares = None if weighed.travel.is_too_short else sharing.shares_of(fold)
    return replace(reading, shares=shares, curve=sharing.curve_of(fold))


def _splice_share(weighed: Weighed, look: TimedLook) -> float | None:
    passes_s = splice_passes_of(look)
    if not passes_s:
        return None
    turn_s, fit = weighed.turn.seconds, weighed.turns.splices if weighed.turns else None
    at_s = passes_s[0]
    if fit is not None:
        at_s = float(fit.passes_s.mean() - fit.numbers.mean() * turn_s)
    return at_s / turn_s % 1.0


def _splice_near(travel: Travel, belt: BeltFacts) -> SpliceNear | None:
    """The nearest splice by name; the reference splice when the register names none."""
    if travel.belt_position_m is None:
        return None
    here_m, length_m = travel.belt_position_m, belt.length_m

    def ahead_m(splice: SpliceFact) -> float:
        return (here_m - splice.belt_position_m + length_m / 2) % length_m - length_m / 2

    splices = belt.splices or (SpliceFact("the reference splice", 0.0),)
    near = min(splices, key=lambda one: abs(ahead_m(one)))
    return SpliceNear(near.name, ahead_m(near), near.belt_position_m == 0)


def _visit_points(look: TimedLook, turn_s: float) -> tuple[VisitPoint, ...]:
    visits = tapping.visits_of(look.taps, turn_s)
    return tuple(
        VisitPoint(int(one.at_s // turn_s) + 1, one.at_s / turn_s % 1.0, one.side) for one in visits
    )
