"""What stands against a plan as it is placed: every clash, with the figures that explain it."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from workorders.planning.outages.crew_hours import cover_of
from workorders.planning.outages.crowding import Crowd, crowds_of
from workorders.planning.outages.plan import Job, Placement, Plan


class ClashKind(StrEnum):
    NEEDS_WINDOW = "needs_window"
    WINDOW_UNKNOWN = "window_unknown"
    WINDOW_OF_OTHERS = "window_of_others"
    OUTSIDE_WINDOW = "outside_window"
    CREW_UNKNOWN = "crew_unknown"
    OUTSIDE_SHIFT = "outside_shift"
    LACKS_SKILL = "lacks_skill"
    TOO_FEW_PEOPLE = "too_few_people"
    CREW_AWAY = "crew_away"
    BEFORE_EARLIEST = "before_earliest"
    BEFORE_PARTS = "before_parts"
    PARTS_MISSING = "parts_missing"
    AFTER_LATEST = "after_latest"
    BEFORE_PREDECESSOR = "before_predecessor"
    HELD = "held"


@dataclass(frozen=True)
class Clash:
    """One thing that is wrong with one placed job.

    Attributes
    ----------
    kind : ClashKind
    job : str
    other : str
        Key of the window, crew or job it clashes with; empty when there is none.
    minutes : int
        By how much; before and after the window or shift together. [min]
    late_minutes : int
        Of `minutes`, what lies after the window. [min]
    at : int or None
        The minute it is about: the limit that is missed, the first minute with too few people;
        None for a job that has no place. [min since 1970-01-01 UTC]
    asked, there : int
        People, at that minute.
    names : tuple of str
        The skills that lack; the keys of all jobs that share the crew then.
    why : str
        What is missing or why it is held, as the job says it.
    """

    kind: ClashKind
    job: str
    other: str = ""
    minutes: int = 0
    late_minutes: int = 0
    at: int | None = None
    asked: int = 0
    there: int = 0
    names: tuple[str, ...] = ()
    why: str = ""


def clashes_of(plan: Plan) -> tuple[Clash, ...]:
    """Find all that stands against the placements of a plan.

    One asks before keeping a plan, and again after anything of it moved.

    Parameters
    ----------
    plan : Plan
        Every placement's job is among its jobs. Windows and crews that are not in the plan count
        as called off and as gone.

    Returns
    -------
    tuple of Clash
        In the order of the placements, people last; each job that shares a crew with too few people
        has its own. Work in the overtime after a shift is no clash.

    Raises
    ------
    KeyError
        A placement is of a job that the plan does not know.
    """
    found: list[Clash] = []
    for placement in plan.placements.values():
        job = plan.jobs[placement.job]
        found += _of_window(plan, job, placement)
        found += _of_crew(plan, job, placement)
        found += _of_dates(job, placement)
        found += _of_order(plan, job, placement)
    for crowd in crowds_of(plan):
        found += _of_crowd(crowd)
    return tuple(found)


def _of_window(plan: Plan, job: Job, placement: Placement) -> Iterator[Clash]:
    if placement.window is None:
        if job.needs_window:
            yield Clash(ClashKind.NEEDS_WINDOW, job.key)
        return
    window = plan.windows.get(placement.window)
    if window is None:
        yield Clash(ClashKind.WINDOW_UNKNOWN, job.key, other=placement.window)
        return
    if job.conveyor not in window.conveyors:
        yield Clash(ClashKind.WINDOW_OF_OTHERS, job.key, other=window.key)
    if not window.span.covers(placement.span):
        shared = window.span.shared_with(placement.span)
        outside = placement.span.minutes - (shared.minutes if shared else 0)
        late = min(placement.span.minutes, max(0, placement.span.ends - window.span.ends))
        limit = window.span.ends if late else window.span.starts
        yield Clash(
            ClashKind.OUTSIDE_WINDOW,
            job.key,
            other=window.key,
            minutes=outside,
            late_minutes=late,
            at=limit,
        )


def _of_crew(plan: Plan, job: Job, placement: Placement) -> Iterator[Clash]:
    crew = plan.crews.get(placement.crew)
    if crew is None:
        yield Clash(ClashKind.CREW_UNKNOWN, job.key, other=placement.crew)
        return
    outside = cover_of(crew, placement.span).neither
    if outside:
        yield Clash(ClashKind.OUTSIDE_SHIFT, job.key, other=crew.key, minutes=outside)
    lacking = tuple(sorted(job.skills - crew.skills))
    if lacking:
        yield Clash(ClashKind.LACKS_SKILL, job.key, other=crew.key, names=lacking)


def _of_dates(job: Job, placement: Placement) -> Iterator[Clash]:
    starts, ends = placement.span.starts, placement.span.ends
    if job.held:
        yield Clash(ClashKind.HELD, job.key, why=job.held)
    if job.parts_missing:
        yield Clash(ClashKind.PARTS_MISSING, job.key, why=job.parts_missing)
    if job.parts_on is not None and starts < job.parts_on:
        early = job.parts_on - starts
        yield Clash(ClashKind.BEFORE_PARTS, job.key, minutes=early, at=job.parts_on)
    if job.earliest is not None and starts < job.earliest:
        early = job.earliest - starts
        yield Clash(ClashKind.BEFORE_EARLIEST, job.key, minutes=early, at=job.earliest)
    if job.latest is not None and ends > job.latest:
        late = ends - job.latest
        yield Clash(ClashKind.AFTER_LATEST, job.key, minutes=late, at=job.latest)


def _of_order(plan: Plan, job: Job, placement: Placement) -> Iterator[Clash]:
    for key in sorted(job.after & plan.jobs.keys()):
        before = plan.placements.get(key)
        if before is None:
            yield Clash(ClashKind.BEFORE_PREDECESSOR, job.key, other=key)
        elif placement.span.starts < before.span.ends:
            early = before.span.ends - placement.span.starts
            yield Clash(
                ClashKind.BEFORE_PREDECESSOR,
                job.key,
                other=key,
                minutes=early,
                at=before.span.ends,
            )


def _of_crowd(crowd: Crowd) -> Iterator[Clash]:
    kind = ClashKind.CREW_AWAY if crowd.asked <= crowd.people else ClashKind.TOO_FEW_PEOPLE
    for job in crowd.jobs:
        yield Clash(
            kind,
            job,
            other=crowd.crew,
            minutes=crowd.minutes,
            at=crowd.at,
            asked=crowd.asked,
            there=crowd.there,
            names=crowd.jobs,
        )
