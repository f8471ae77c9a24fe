"""Load against capacity: people x minutes that are placed and that are there."""

from collections.abc import Iterable
from dataclasses import dataclass

from workorders.planning.outages.crew_hours import cover_of, people_minutes_there
from workorders.planning.outages.plan import Crew, Placement, Plan, Span


@dataclass(frozen=True)
class Load:
    """What one crew has to do, in one window or altogether.

    Attributes
    ----------
    window : str or None
        None: altogether, in and out of windows.
    crew : str
    used : int
        Of the jobs placed there. [people x min]
    there : int
        In the crew's shifts, absences taken off, overtime not counted. [people x min]
    overtime : int
        Of `used`, what lies in the overtime after a shift. [people x min]
    elsewhere : int
        Taken by jobs placed elsewhere while this window is open. [people x min]
    """

    window: str | None
    crew: str
    used: int
    there: int
    overtime: int = 0
    elsewhere: int = 0

    @property
    def is_over(self) -> bool:
        return self.used - self.overtime + self.elsewhere > self.there


def window_loads(plan: Plan) -> tuple[Load, ...]:
    """For every window and every crew that is at work in it or has jobs in it.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    tuple of Load
        By window, then crew, in the plan's order; placements in unknown windows are left out.
    """
    by_crew = _by_crew(plan)
    loads = []
    for window in plan.windows.values():
        for crew in plan.crews.values():
            placed = by_crew.get(crew.key, [])
            here = [one for one in placed if one.window == window.key]
            there = people_minutes_there(crew, window.span)
            if here or there:
                rest = [one for one in placed if one.window != window.key]
                elsewhere = _people_minutes(plan, rest, within=window.span)
                loads.append(_load(plan, window.key, crew, here, there, elsewhere))
    return tuple(loads)


def crew_loads(plan: Plan, within: Span) -> tuple[Load, ...]:
    """For every crew all that is placed with it, against its shifts within a stretch of time.

    Parameters
    ----------
    plan : Plan
    within : Span
        Jobs that begin in it count whole.

    Returns
    -------
    tuple of Load
        One per crew, in the plan's order.
    """
    by_crew = _by_crew(plan)
    return tuple(
        _load(
            plan,
            None,
            crew,
            [
                one
                for one in by_crew.get(crew.key, [])
                if within.starts <= one.span.starts < within.ends
            ],
            people_minutes_there(crew, within),
        )
        for crew in plan.crews.values()
    )


def _load(
    plan: Plan,
    window: str | None,
    crew: Crew,
    placed: list[Placement],
    there: int,
    elsewhere: int = 0,
) -> Load:
    overtime = sum(plan.jobs[one.job].people * cover_of(crew, one.span).overtime for one in placed)
    return Load(window, crew.key, _people_minutes(plan, placed), there, overtime, elsewhere)


def _people_minutes(plan: Plan, placed: Iterable[Placement], within: Span | None = None) -> int:
    total = 0
    for one in placed:
        span = one.span.shared_with(within) if within else one.span
        total += plan.jobs[one.job].people * (span.minutes if span else 0)
    return total


def _by_crew(plan: Plan) -> dict[str, list[Placement]]:
    found: dict[str, list[Placement]] = {}
    for one in plan.placements.values():
        found.setdefault(one.crew, []).append(one)
    return found
