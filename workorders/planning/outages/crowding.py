"""When the jobs placed with a crew ask for more people than are there."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from workorders.planning.outages.crew_hours import people_there
from workorders.planning.outages.plan import Crew, Placement, Plan


@dataclass(frozen=True)
class Crowd:
    """One stretch without a break in which a crew's people do not suffice.

    Attributes
    ----------
    crew : str
    at : int
        Its first minute in which the most people lack. [min since 1970-01-01 UTC]
    minutes : int
        How long people lack. [min]
    asked, there, people : int
        At that minute: asked for by jobs, at work, and of the crew when nobody is away.
    jobs : tuple of str
        All that are under way in the stretch, in order of their keys.
    """

    crew: str
    at: int
    minutes: int
    asked: int
    there: int
    people: int
    jobs: tuple[str, ...]


@dataclass(frozen=True)
class _Piece:
    """From one change to the next nothing changes."""

    starts: int
    ends: int
    asked: int
    there: int
    jobs: frozenset[str]


def crowds_of(plan: Plan) -> tuple[Crowd, ...]:
    """Find every stretch in which a crew of the plan has too few people for its jobs.

    Parameters
    ----------
    plan : Plan
        Crews that it does not know are passed over.

    Returns
    -------
    tuple of Crowd
        By crew in the plan's order, then by time.
    """
    found = []
    for crew in plan.crews.values():
        placed = [one for one in plan.placements.values() if one.crew == crew.key]
        found += [_crowd(crew, run) for run in _runs(_lacking(plan, crew, placed))]
    return tuple(found)


def _lacking(plan: Plan, crew: Crew, placed: list[Placement]) -> Iterator[_Piece]:
    edges = {edge for one in placed for edge in (one.span.starts, one.span.ends)}
    edges |= {edge for one in crew.absences for edge in (one.span.starts, one.span.ends)}
    cuts = sorted(edges)
    for starts, ends in itertools.pairwise(cuts):
        under_way = [one for one in placed if one.span.starts <= starts < one.span.ends]
        asked = sum(plan.jobs[one.job].people for one in under_way)
        there = people_there(crew, starts)
        if asked > there:
            yield _Piece(starts, ends, asked, there, frozenset(one.job for one in under_way))


def _runs(pieces: Iterator[_Piece]) -> list[list[_Piece]]:
    """Pieces that follow each other without a gap belong together."""
    runs: list[list[_Piece]] = []
    for piece in pieces:
        if runs and runs[-1][-1].ends == piece.starts:
            runs[-1].append(piece)
        else:
            runs.append([piece])
    return runs


def _crowd(crew: Crew, run: list[_Piece]) -> Crowd:
    worst = max(run, key=lambda piece: piece.asked - piece.there)
    return Crowd(
        crew=crew.key,
        at=worst.starts,
        minutes=run[-1].ends - run[0].starts,
        asked=worst.asked,
        there=worst.there,
        people=crew.people,
        jobs=tuple(sorted(frozenset().union(*(piece.jobs for piece in run)))),
    )
