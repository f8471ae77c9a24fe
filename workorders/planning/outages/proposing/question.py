"""What is asked of a proposal: which jobs stand, which are to be placed, and where each could go.

A job stands when it is pinned, when it has begun before the horizon, or when its place lies behind
the horizon. What was planned for a time that is past has no place any more.
"""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, replace
from functools import cached_property

from workorders.planning.outages.plan import Job, Placement, Plan, Span
from workorders.planning.outages.proposing.people import FreePeople, free_by_crew
from workorders.planning.outages.proposing.slots import (
    Bounds,
    Slot,
    Stretch,
    slots_of,
    stretches_of,
)

_LEFT_OUT = "left out"


@dataclass(frozen=True)
class Question:
    """
    Attributes
    ----------
    plan : Plan
        Its windows cut to the horizon.
    horizon : Span
    standing : mapping of str to Placement
        By job; nothing moves them.
    free : mapping of str to Job
        All others that are to be placed.
    slots : mapping of str to tuple of Slot
        Of every free job; empty where there is none.
    present : mapping of str to Placement
        Where free jobs stand now, within the horizon.
    stretches : mapping of str to tuple of Stretch
        Of every crew.
    """

    plan: Plan
    horizon: Span
    standing: Mapping[str, Placement]
    free: Mapping[str, Job]
    slots: Mapping[str, tuple[Slot, ...]]
    present: Mapping[str, Placement]
    stretches: Mapping[str, tuple[Stretch, ...]]

    @cached_property
    def people(self) -> Mapping[str, FreePeople]:
        """Without who is away and without what standing jobs take."""
        return free_by_crew(self.plan, self.standing.values())

    @cached_property
    def counted_standing(self) -> Mapping[str, Placement]:
        """Those that count in the figures: what stands behind the horizon does not."""
        return {
            key: one
            for key, one in self.standing.items()
            if one.span.shared_with(self.horizon) is not None
        }

    @cached_property
    def present_slots(self) -> Mapping[str, Slot]:
        """The slot a free job stands in now, where it may stay there as far as itself goes."""
        found = {}
        for key, place in self.present.items():
            slot = next((one for one in self.slots[key] if one.holds(place)), None)
            if slot is not None and place.span.minutes == self.free[key].minutes:
                found[key] = slot
        return found

    @cached_property
    def followers(self) -> Mapping[str, tuple[str, ...]]:
        """The free jobs that wait for a free job."""
        found: dict[str, list[str]] = {key: [] for key in self.free}
        for job in self.free.values():
            for before in job.after:
                if before in found:
                    found[before].append(job.key)
        return {key: tuple(sorted(those)) for key, those in found.items()}

    def leaders(self, job: Job) -> Iterable[str]:
        """The free jobs that a job waits for."""
        return sorted(one for one in job.after if one in self.free)


def question_of(plan: Plan, horizon: Span) -> Question:
    """What of a plan is open within the horizon."""
    standing = {
        key: job.placed
        for key, job in plan.jobs.items()
        if job.placed is not None and _stands(job, job.placed, horizon)
    }
    return _asked(_cut_to(plan, horizon), horizon, standing)


def narrowed(question: Question, placed: Mapping[str, Placement], keys: Set[str]) -> Question:
    """Only some of the jobs may move: others stand fast where they are placed, or stay left out.

    Every figure of a plan is the same as in the whole question, but for moves.
    """
    beside = {key: place for key, place in placed.items() if key not in keys}
    jobs = {
        key: job
        if key in keys or key in beside or key in question.standing
        else replace(job, held=job.held or _LEFT_OUT)
        for key, job in question.plan.jobs.items()
    }
    plan = replace(question.plan, jobs=jobs)
    return _asked(plan, question.horizon, {**question.standing, **beside})


def _asked(plan: Plan, horizon: Span, standing: Mapping[str, Placement]) -> Question:
    free = {key: job for key, job in plan.jobs.items() if key not in standing}
    present = {
        key: job.placed
        for key, job in free.items()
        if job.placed is not None and job.placed.span.starts >= horizon.starts
    }
    must_end = must_end_by(plan.jobs, standing, horizon.ends)
    stretches = {key: stretches_of(crew) for key, crew in plan.crews.items()}

    def slots(job: Job) -> tuple[Slot, ...]:
        if job.held or job.parts_missing:
            return ()
        bounds = Bounds(_may_begin(job, standing, horizon), must_end[job.key])
        return slots_of(job, plan, stretches, bounds)

    by_job = {key: slots(job) for key, job in free.items()}
    return Question(plan, horizon, standing, free, by_job, present, stretches)


def must_end_by(
    jobs: Mapping[str, Job], standing: Mapping[str, Placement], latest: int
) -> dict[str, int]:
    """When each job must have ended for the standing jobs that wait for it. [min]"""
    ends = dict.fromkeys(jobs, latest)
    for key, place in standing.items():
        for before in jobs[key].after:
            if before in ends:
                ends[before] = min(ends[before], place.span.starts)
    return ends


def _stands(job: Job, place: Placement, horizon: Span) -> bool:
    has_begun = place.span.starts < horizon.starts < place.span.ends
    return job.is_pinned or has_begun or place.span.starts >= horizon.ends


def _may_begin(job: Job, standing: Mapping[str, Placement], horizon: Span) -> int:
    waits = [standing[one].span.ends for one in job.after if one in standing]
    dates = [one for one in (job.earliest, job.parts_on) if one is not None]
    return max([horizon.starts, *waits, *dates])


def _cut_to(plan: Plan, horizon: Span) -> Plan:
    cut = {
        key: replace(one, span=shared)
        for key, one in plan.windows.items()
        if (shared := one.span.shared_with(horizon)) is not None
    }
    return replace(plan, windows=cut)
