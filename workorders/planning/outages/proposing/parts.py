"""Parts of a plan that share no window and no order of work, only people.

A line of belts is down together, so a plant's plan falls into few of them. Each is small enough to
be solved nearly to the end while the others stand still.
"""

from collections.abc import Iterable

from workorders.planning.outages.proposing.question import Question


def parts_of(question: Question) -> list[frozenset[str]]:
    """The free jobs that have slots, part by part, the largest first."""
    joined = _Joined()
    for window in question.plan.windows.values():
        joined.join(window.conveyors)
    jobs = question.plan.jobs
    for job in question.free.values():
        joined.join([job.conveyor, *(jobs[one].conveyor for one in job.after if one in jobs)])
    parts: dict[str, set[str]] = {}
    for key, job in question.free.items():
        if question.slots[key]:
            parts.setdefault(joined.first_of(job.conveyor), set()).add(key)
    return sorted(map(frozenset, parts.values()), key=lambda one: (-len(one), min(one)))


class _Joined:
    """Belts that belong together, each known by the first that was named of them."""

    def __init__(self) -> None:
        self._before: dict[str, str] = {}

    def join(self, belts: Iterable[str]) -> None:
        firsts = sorted({self.first_of(one) for one in belts})
        for other in firsts[1:]:
            self._before[other] = firsts[0]

    def first_of(self, belt: str) -> str:
        while belt in self._before:
            belt = self._before[belt]
        return belt
