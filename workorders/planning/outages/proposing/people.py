"""How many people of a crew are free, minute by minute.

Kept as steps: what holds from one minute until the next one named. Nobody is free in less than no
number: where pinned jobs ask for more than there are, none are left.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator

from workorders.planning.outages.plan import Crew, Placement, Plan, Span


class FreePeople:
    """Of one crew; `take` takes some of them for a while."""

    def __init__(self, people: int) -> None:
        self._at: list[int] = []
        # One more than `_at`: before the first minute named, after each.
        self._free = [people]

    def copy(self) -> "FreePeople":
        twin = FreePeople(0)
        twin._at, twin._free = self._at.copy(), self._free.copy()
        return twin

    def take(self, span: Span, people: int) -> None:
        first, last = self._cut(span.starts), self._cut(span.ends)
        for place in range(first, last):
            self._free[place] -= people

    def least(self, span: Span) -> int:
        """The fewest that are free at any minute of the span."""
        first, last = bisect_right(self._at, span.starts), bisect_right(self._at, span.ends - 1)
        return max(0, min(self._free[first : last + 1]))

    def steps(self, span: Span) -> Iterator[tuple[Span, int]]:
        """The span in pieces, with how many are free in each."""
        starts = span.starts
        for place in range(bisect_right(self._at, span.starts), len(self._free)):
            ends = min(self._at[place], span.ends) if place < len(self._at) else span.ends
            yield Span(starts, ends), max(0, self._free[place])
            if ends == span.ends:
                return
            starts = ends

    def work_in(self, span: Span) -> int:
        """People x minutes that are free. [min]"""
        return sum(step.minutes * people for step, people in self.steps(span))

    def first_start(self, minutes: int, people: int, first: int, last: int) -> int | None:
        """The first minute from `first` to `last` at which so many are free for so long."""
        starts = first
        place = bisect_right(self._at, first)
        while starts <= last:
            short = self._short(place, starts + minutes, people)
            if short is None:
                return starts
            if short == len(self._at):
                return None
            starts, place = self._at[short], short + 1
        return None

    def _short(self, place: int, ends: int, people: int) -> int | None:
        """The first piece from `place` on, and before `ends`, in which fewer are free."""
        while self._free[place] >= people:
            if place == len(self._at) or self._at[place] >= ends:
                return None
            place += 1
        return place

    def _cut(self, minute: int) -> int:
        """Make the minute one of those named; where the piece after it stands."""
        place = bisect_right(self._at, minute)
        if place and self._at[place - 1] == minute:
            return place
        self._at.insert(place, minute)
        self._free.insert(place, self._free[place])
        return place + 1


def free_people(crew: Crew, taken: Iterable[tuple[Span, int]]) -> FreePeople:
    """Of a crew, without who is away and without what is taken."""
    free = FreePeople(crew.people)
    for away in crew.absences:
        free.take(away.span, away.people)
    for span, people in taken:
        free.take(span, people)
    return free


def free_by_crew(plan: Plan, standing: Iterable[Placement]) -> dict[str, FreePeople]:
    """Of every crew, without what the standing placements take."""
    taken: dict[str, list[tuple[Span, int]]] = {key: [] for key in plan.crews}
    for one in standing:
        if one.crew in taken:
            taken[one.crew].append((one.span, plan.jobs[one.job].people))
    return {key: free_people(crew, taken[key]) for key, crew in plan.crews.items()}
