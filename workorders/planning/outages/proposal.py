"""A proposal: which job goes into which window, with which crew, when; and why others go nowhere.

The aims are solved one after the other, each held before the next: fewest late jobs by weight,
fewest isolations, least overtime, fewest moved jobs (`proposing/figures.py`). Jobs that stand stay
as far as `proposing/stability.py` says, unless a plan from scratch is asked for. Always possible,
however short the time: what is not solved is placed job by job.
"""

import time
from collections.abc import Mapping
from dataclasses import dataclass, replace

from workorders.planning.outages.clashes import Clash, ClashKind, clashes_of
from workorders.planning.outages.plan import Placement, Plan, Span
from workorders.planning.outages.proposing import search as searching
from workorders.planning.outages.proposing.figures import Aim, moved_jobs
from workorders.planning.outages.proposing.question import question_of
from workorders.planning.outages.proposing.reasons import LeftOut, Reason, reasons_of
from workorders.planning.outages.proposing.search import Objective
from workorders.planning.outages.proposing.solving import Progress, Tick
from workorders.planning.outages.proposing.stability import Stability, allowed_moves
from workorders.planning.outages.proposing.tidying import pull, tidy
from workorders.planning.outages.proposing.watch import Clock, Watch

__all__ = [
    "Aim",
    "LeftOut",
    "Objective",
    "Progress",
    "Proposal",
    "Reason",
    "Stability",
    "Tick",
    "propose",
]

# A full sheet takes all of it, and a second or two more.
SECONDS = 15.0


@dataclass(frozen=True)
class Proposal:
    """What is proposed, and how good that is.

    Attributes
    ----------
    placements : mapping of str to Placement
        All jobs that have a place in the horizon, those that stand fast included.
    left_out : tuple of LeftOut
    objectives : tuple of Objective
        In the order in which they count.
    stability : Stability
    clashes : tuple of Clash
        Of pinned jobs, which stay all the same.
    is_stopped : bool
        Somebody stopped it: the best until then.
    """

    placements: Mapping[str, Placement]
    left_out: tuple[LeftOut, ...]
    objectives: tuple[Objective, ...]
    stability: Stability
    clashes: tuple[Clash, ...]
    is_stopped: bool


def propose(
    plan: Plan,
    horizon: Span,
    *,
    from_scratch: bool = False,
    seconds: float = SECONDS,
    tick: Tick = lambda _progress: True,
    clock: Clock = time.monotonic,
) -> Proposal:
    """Propose where every job of a plan goes.

    Parameters
    ----------
    plan : Plan
        With every job that may be placed, and where jobs stand now (`Job.placed`).
    horizon : Span
        Nothing is placed outside it; its beginning is not before now. [min since 1970-01-01 UTC]
    from_scratch : bool
        Anything that is not pinned may move.
    seconds : float
        How long it may take, > 0; a little more where the last step is long. [s]
    tick : callable
        Called several times a second, in the thread of the caller, with how far it is; False stops,
        and the best so far is the answer.
    clock : callable
        Counts seconds. [s]

    Returns
    -------
    Proposal

    Notes
    -----
    When the time ran out two runs may differ; an aim whose bound is reached has the same value
    each time.
    """
    watch = Watch(clock() + seconds, clock)
    question = question_of(plan, horizon)
    search = searching.begin(question, from_scratch=from_scratch, watch=watch, tick=tick)
    forced, limit = 0, None
    if not from_scratch:
        forced = searching.fewest_moves(search)
        limit = max(allowed_moves(question), forced)
    search.shake(limit)
    late = searching.least_late(search, forced, limit)
    search.placed = tidy(question, search.placed, late.limit)
    later = [
        search.improve(late.model, aim, searching.SHARES[aim], late.limit)
        for aim in (Aim.ISOLATIONS, Aim.OVERTIME, Aim.MOVES)
    ]
    search.placed = placed = pull(question, search.placed)
    # Pulled together there may be less overtime, and a job back where it was.
    reached = [replace(one, value=search.figure(one.aim)) for one in (late.objective, *later)]
    stability = Stability(
        placed=len(question.present),
        moved=len(moved_jobs(question, placed)),
        allowed=allowed_moves(question),
        forced=forced,
        limit=late.limit,
        raised_for=late.raised_for,
    )
    return Proposal(
        placements={**question.counted_standing, **placed},
        left_out=reasons_of(question, placed),
        objectives=tuple(reached),
        stability=stability,
        clashes=_of_standing(plan, question.standing, placed),
        is_stopped=search.is_stopped,
    )


def _of_standing(
    plan: Plan, standing: Mapping[str, Placement], placed: Mapping[str, Placement]
) -> tuple[Clash, ...]:
    """Being late is counted, not told again."""
    proposed = replace(plan, placements={**standing, **placed})
    return tuple(
        one
        for one in clashes_of(proposed)
        if one.job in standing and one.kind is not ClashKind.AFTER_LATEST
    )
