"""Small problems, and the best plan among all there are, found by trying every one.

Nothing of how a proposal is worked out is used: what is possible is asked of `clashes_of`, what it
is worth is counted here.
"""

from collections.abc import Iterator
from dataclasses import replace
from random import Random

from tests.workorders.planning.outages import small_plans as small
from workorders.planning.outages.clashes import ClashKind, clashes_of
from workorders.planning.outages.plan import Absence, Job, Placement, Plan, Span

HORIZON = Span(small.at(0), small.at(48))
_HOUR = 60
_Worth = tuple[int, int, int, int]


def best_of_all(plan: Plan, most_moves: int | None = None) -> _Worth:
    """The least late, isolations, overtime and moves, in this order."""
    return min(
        worth
        for placed in every_plan(plan)
        if (worth := worth_of(plan, placed)) and (most_moves is None or worth[3] <= most_moves)
    )


def fewest_moves(plan: Plan) -> int:
    return min(worth_of(plan, placed)[3] for placed in every_plan(plan))


def every_plan(plan: Plan) -> Iterator[dict[str, Placement]]:
    """With starts on the hour; of pinned jobs only where they stand."""
    yield from _go_on(plan, _in_order(plan), {})


def is_possible(plan: Plan, placed: dict[str, Placement]) -> bool:
    """Whether nothing but being late, and pins among themselves, stands against it."""
    return not [
        one
        for one in clashes_of(replace(plan, placements=placed))
        if one.kind is not ClashKind.AFTER_LATEST and not plan.jobs[one.job].is_pinned
    ]


def worth_of(plan: Plan, placed: dict[str, Placement]) -> _Worth:
    late = isolations = overtime = moves = 0
    for key, job in plan.jobs.items():
        place = placed.get(key)
        if place is None:
            late += 3 * job.weight
        elif job.latest is not None and place.span.ends > job.latest:
            late += job.weight
        moves += job.placed is not None and not job.is_pinned and place != job.placed
    isolated = {(place.window, plan.jobs[key].isolation) for key, place in placed.items()}
    isolations = sum(window is not None for window, _isolation in isolated)
    for key, place in placed.items():
        in_shift = sum(
            shared.minutes
            for shift in plan.crews[place.crew].shifts
            if (shared := shift.shared_with(place.span))
        )
        overtime += plan.jobs[key].people * (place.span.minutes - in_shift)
    return late, isolations, overtime, moves


def _go_on(
    plan: Plan, jobs: list[Job], placed: dict[str, Placement]
) -> Iterator[dict[str, Placement]]:
    if not jobs:
        yield dict(placed)
        return
    job, rest = jobs[0], jobs[1:]
    if not job.is_pinned:
        yield from _go_on(plan, rest, placed)
    for place in _places(plan, job):
        placed[job.key] = place
        if is_possible(plan, placed):
            yield from _go_on(plan, rest, placed)
        del placed[job.key]


def _places(plan: Plan, job: Job) -> Iterator[Placement]:
    if job.is_pinned:
        assert job.placed is not None
        yield job.placed
        return
    windows = [one for one in plan.windows.values() if job.conveyor in one.conveyors]
    spans = [(one.key, one.span) for one in windows] if job.needs_window else [(None, HORIZON)]
    for window, inside in spans:
        for starts in range(inside.starts, inside.ends - job.minutes + 1, _HOUR):
            for crew in plan.crews:
                span = Span(starts, starts + job.minutes)
                if window is None and not _in_shift(plan, crew, span):
                    continue
                yield Placement(job.key, window, crew, span)


def _in_shift(plan: Plan, crew: str, span: Span) -> bool:
    """Nobody stays longer for work that needs no window."""
    return any(shift.covers(span) for shift in plan.crews[crew].shifts)


def _in_order(plan: Plan) -> list[Job]:
    """Pinned ones first, each after those it waits for."""
    jobs = sorted(plan.jobs.values(), key=lambda job: (not job.is_pinned, job.key))
    done: list[Job] = []
    while jobs:
        keys = {job.key for job in jobs}
        free = next(job for job in jobs if job.is_pinned or not job.after & keys)
        done.append(free)
        jobs.remove(free)
    return done


def small_problem(seed: int, jobs: int = 4) -> Plan:
    """Two belts, three short windows on two days, two crews, all on the hour."""
    draw = Random(seed)
    windows = [
        small.window("W", 6, 6 + draw.randint(2, 4), "Q30"),
        small.window("V", 8, 8 + draw.randint(2, 3), "Q30", "Q31"),
        small.window("U", 30, 30 + draw.randint(2, 4), "Q31"),
    ]
    crews = [
        small.crew(
            "day",
            draw.randint(1, 3),
            skills={"mechanic"},
            shifts=(small.span(6, 9), small.span(30, 33)),
            overtime_minutes=draw.choice((0, 60, 120)),
            absences=_absences(draw),
        ),
        small.crew("late", 2, skills={"mechanic", "splicer"}, shifts=(small.span(8, 11),)),
    ]
    keys = [f"J{number}" for number in range(jobs)]
    made = [_job(draw, key, keys[:place]) for place, key in enumerate(keys)]
    return small.plan(windows=windows, crews=crews, jobs=made)


def with_places(plan: Plan, seed: int) -> Plan:
    """The same, with its jobs at places that are possible together; one may be pinned."""
    draw = Random(seed)
    placed = draw.choice(list(every_plan(plan)))
    pinned = draw.choice([*placed, ""]) if placed else ""
    jobs = {
        key: replace(job, placed=placed.get(key), is_pinned=key == pinned)
        for key, job in plan.jobs.items()
    }
    return replace(plan, jobs=jobs, placements=placed)


def _absences(draw: Random) -> tuple[Absence, ...]:
    return (Absence(small.span(7, 8), 1),) if draw.random() < 0.4 else ()


def _job(draw: Random, key: str, earlier: list[str]) -> Job:
    belt = draw.choice(("Q30", "Q31"))
    return small.job(
        key,
        conveyor=belt,
        minutes=60 * draw.choice((1, 1, 2)),
        people=draw.randint(1, 2),
        skills=frozenset(draw.choice(({"mechanic"}, {"splicer"}, set()))),
        weight=draw.choice((1, 3, 9)),
        isolation=belt if draw.random() < 0.8 else None,
        earliest=small.at(draw.choice((7, 9))) if draw.random() < 0.3 else None,
        latest=small.at(draw.choice((8, 10, 31))) if draw.random() < 0.5 else None,
        after=frozenset(earlier[-1:]) if draw.random() < 0.3 else frozenset(),
        parts_missing="a roll" if draw.random() < 0.05 else "",
    )
