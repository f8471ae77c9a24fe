"""Isolations saved by hand: the jobs of one go to where their belt is isolated anyway.

What the solver would find, too, but in a second instead of ten on two cores.
"""

from collections import defaultdict
from collections.abc import Mapping

from workorders.planning.outages.plan import Job, Placement
from workorders.planning.outages.proposing.figures import lateness_of, moved_jobs
from workorders.planning.outages.proposing.greedy import Placing
from workorders.planning.outages.proposing.question import Question

_Isolation = tuple[str | None, str | None]


def tidy(
    question: Question, placed: Mapping[str, Placement], most_moves: int | None = None
) -> dict[str, Placement]:
    """Close one isolation after the other as long as nobody is later for it.

    Jobs that stand in it now are moved only up to `most_moves` in all; None: any number.
    """
    placing = Placing(question)
    placing.put_all(placed)
    is_closing = True
    while is_closing:
        groups = sorted(_groups(placing).values(), key=_work)
        is_closing = sum(_close(placing, group, most_moves) for group in groups) > 0
    return placing.placed


def pull(question: Question, placed: Mapping[str, Placement]) -> dict[str, Placement]:
    """Begin new and moved jobs as early as their slot has room, the first ones first."""
    placing = Placing(question)
    placing.put_all(placed)
    for key in sorted(placed, key=lambda one: (placed[one].span, one)):
        if placed[key] != question.present.get(key):
            placing.pull(question.free[key])
    return placing.placed


def _groups(placing: Placing) -> dict[_Isolation, list[Job]]:
    """Free jobs by the isolation they share; without those that a standing job needs, too."""
    groups: dict[_Isolation, list[Job]] = defaultdict(list)
    for key, place in placing.placed.items():
        job = placing.question.free[key]
        isolation = (place.window, job.isolation)
        if job.needs_window and isolation not in placing.standing_isolations:
            groups[isolation].append(job)
    return groups


def _work(group: list[Job]) -> tuple[int, str]:
    return sum(job.people * job.minutes for job in group), group[0].key


def _close(placing: Placing, group: list[Job], most_moves: int | None) -> bool:
    """Whether all of them went elsewhere; else they are where they were."""
    before = {job.key: placing.placed[job.key] for job in group if job.key in placing.placed}
    if len(before) < len(group) or len({place.window for place in before.values()}) > 1:
        # An earlier one took its jobs in.
        return False
    for job in group:
        placing.lift(job)
    done = []
    for job in sorted(group, key=lambda one: (one.key in _after_any(one, group), -one.weight)):
        place = placing.best_place(job, is_shared=True)
        if place is None or lateness_of(job, place) > lateness_of(job, before[job.key]):
            break
        placing.put(job, place)
        done.append(job)
    moves = len(moved_jobs(placing.question, placing.placed))
    if len(done) == len(group) and (most_moves is None or moves <= most_moves):
        return True
    for job in done:
        placing.lift(job)
    for job in group:
        placing.put(job, before[job.key])
    return False


def _after_any(job: Job, group: list[Job]) -> set[str]:
    keys = {one.key for one in group}
    return {job.key} if job.after & keys else set()
