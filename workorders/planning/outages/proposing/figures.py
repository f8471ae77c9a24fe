"""The figures by which placements are judged, in the order in which they count.

1. late: for each job its weight once when it ends after its latest date, three times when it is
   left out, so that of two equal jobs both late is better than one of them left out;
2. isolations: how many are made, one for each window and isolation point that has jobs;
3. overtime: people x minutes;
4. moves: free jobs that stand elsewhere than now, or no longer.
"""

from collections.abc import Mapping
from enum import StrEnum

from workorders.planning.outages.plan import Job, Placement
from workorders.planning.outages.proposing.question import Question
from workorders.planning.outages.proposing.slots import overtime_in

# Engineering judgement: see above.
LEFT_OUT = 3


class Aim(StrEnum):
    LATE = "late"
    ISOLATIONS = "isolations"
    OVERTIME = "overtime"
    MOVES = "moves"


# Each is solved and then held before the next.
AIMS = tuple(Aim)


def figure_of(aim: Aim, question: Question, placed: Mapping[str, Placement]) -> int:
    """One figure of the free jobs placed so, together with those that stand."""
    return _FIGURES[aim](question, {**question.counted_standing, **placed})


def figure_floor(aim: Aim, question: Question) -> int:
    """What no plan can be under, seen without solving anything."""
    if aim is Aim.LATE:
        nowhere = [key for key in question.free if not question.slots[key]]
        counted = [*nowhere, *question.counted_standing]
        placed, jobs = question.counted_standing, question.plan.jobs
        return sum(lateness_of(jobs[key], placed.get(key)) for key in counted)
    if aim is Aim.MOVES:
        return len(question.present) - len(question.present_slots)
    return figure_of(aim, question, {})


def lateness_of(job: Job, place: Placement | None) -> int:
    if place is None:
        return LEFT_OUT * job.weight
    return job.weight if job.latest is not None and place.span.ends > job.latest else 0


def moved_jobs(question: Question, placed: Mapping[str, Placement]) -> list[str]:
    """The free jobs with a place now that would stand elsewhere, or nowhere."""
    return [key for key, place in question.present.items() if placed.get(key) != place]


def _late(question: Question, placed: Mapping[str, Placement]) -> int:
    counted = [*question.free, *question.counted_standing]
    return sum(lateness_of(question.plan.jobs[key], placed.get(key)) for key in counted)


def _isolations(question: Question, placed: Mapping[str, Placement]) -> int:
    jobs = question.plan.jobs
    return len(
        {
            (place.window, jobs[key].isolation)
            for key, place in placed.items()
            if place.window is not None and jobs[key].isolation is not None
        }
    )


def _overtime(question: Question, placed: Mapping[str, Placement]) -> int:
    jobs, stretches = question.plan.jobs, question.stretches
    return sum(
        jobs[key].people * overtime_in(stretches.get(place.crew, ()), place.span)
        for key, place in placed.items()
    )


def _moves(question: Question, placed: Mapping[str, Placement]) -> int:
    return len(moved_jobs(question, placed))


_FIGURES = {
    Aim.LATE: _late,
    Aim.ISOLATIONS: _isolations,
    Aim.OVERTIME: _overtime,
    Aim.MOVES: _moves,
}
