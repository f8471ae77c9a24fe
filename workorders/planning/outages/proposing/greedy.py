"""A first plan, quick and never impossible: job after job, the urgent ones first.

It gives the solver something to better, and is the answer where the time was too short for that.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from workorders.planning.outages.plan import Job, Placement, Span
from workorders.planning.outages.proposing.figures import Aim, figure_of, lateness_of
from workorders.planning.outages.proposing.question import Question
from workorders.planning.outages.proposing.slots import Slot

# Engineering judgement: more of them gain little and take a second on a full sheet.
ROUNDS = 20


class Placing:
    """Free jobs placed one by one; `placed` is possible at every moment."""

    def __init__(self, question: Question) -> None:
        self.question = question
        self.placed: dict[str, Placement] = {}
        self._people = {key: free.copy() for key, free in question.people.items()}
        self.standing_isolations = {
            (place.window, question.plan.jobs[key].isolation)
            for key, place in question.counted_standing.items()
        }
        self._isolations = Counter(self.standing_isolations)

    def put(self, job: Job, place: Placement) -> None:
        self.placed[job.key] = place
        self._people[place.crew].take(place.span, job.people)
        self._isolations[place.window, job.isolation] += 1

    def lift(self, job: Job) -> None:
        place = self.placed.pop(job.key)
        self._people[place.crew].take(place.span, -job.people)
        self._isolations[place.window, job.isolation] -= 1

    def put_all(self, placed: Mapping[str, Placement]) -> None:
        for key, place in placed.items():
            self.put(self.question.free[key], place)

    def may_stand(self, job: Job, place: Placement) -> bool:
        first, last = self._limits(job)
        fits = first <= place.span.starts and place.span.ends <= last
        return fits and self._people[place.crew].least(place.span) >= job.people

    def has_leaders(self, job: Job) -> bool:
        """Whether all jobs it waits for are placed."""
        return all(one in self.placed for one in self.question.leaders(job))

    def best_place(self, job: Job, *, is_shared: bool = False) -> Placement | None:
        """On time before late, no new isolation, no overtime, early.

        With `is_shared` only where its isolation is made for others anyway.
        """
        first, last = self._limits(job)
        ranked = (
            self._rank(job, slot, starts)
            for slot in self.question.slots[job.key]
            if not (is_shared and self._is_new(slot, job))
            and (starts := self._start_in(slot, job, first, last)) is not None
        )
        best = min(ranked, key=lambda one: one[0], default=None)
        if best is None:
            return None
        slot, starts = best[1], best[2]
        return Placement(job.key, slot.window, slot.crew, Span(starts, starts + job.minutes))

    def pull(self, job: Job) -> None:
        """Begin a placed job as early as its slot has room."""
        place = self.placed[job.key]
        self.lift(job)
        slot = next(one for one in self.question.slots[job.key] if one.holds(place))
        first, last = self._limits(job)
        starts = self._start_in(slot, job, first, min(last, place.span.ends))
        assert starts is not None, "where it was there is room for it"
        self.put(job, replace(place, span=Span(starts, starts + job.minutes)))

    def _start_in(self, slot: Slot, job: Job, first: int, last: int) -> int | None:
        free = self._people[slot.crew]
        for starts in slot.starts:
            until = min(starts[1], last - job.minutes)
            at = free.first_start(job.minutes, job.people, max(starts[0], first), until)
            if at is not None:
                return at
        return None

    def _rank(self, job: Job, slot: Slot, starts: int) -> tuple[tuple[int, ...], Slot, int]:
        ends = starts + job.minutes
        is_late = job.latest is not None and ends > job.latest
        # What others wait for is done as soon as can be.
        pressing = starts if self.question.followers[job.key] else 0
        overtime = slot.overtime(starts, ends)
        return (is_late, pressing, self._is_new(slot, job), overtime, starts), slot, starts

    def _is_new(self, slot: Slot, job: Job) -> bool:
        return job.needs_window and not self._isolations[slot.window, job.isolation]

    def _limits(self, job: Job) -> tuple[int, int]:
        """After all it waits for that are placed, before all placed ones that wait for it."""
        horizon = self.question.horizon
        before = [
            self.placed[one].span.ends for one in self.question.leaders(job) if one in self.placed
        ]
        after = [
            self.placed[one].span.starts
            for one in self.question.followers[job.key]
            if one in self.placed
        ]
        return max([horizon.starts, *before]), min([horizon.ends, *after])


def first_plan(
    question: Question,
    aims: Sequence[Aim],
    *,
    keep: bool,
    goes_on: Callable[[int], bool] = lambda _late: True,
) -> dict[str, Placement]:
    """Place what can be placed; with `keep` whatever may stay where it stands stays first.

    Jobs that come off badly in one round come earlier in the next; the best round by `aims`, in
    their order, is the answer. `goes_on` hears the first aim's figure after each round; False ends.
    """
    pressing = {key: float(job.weight) for key, job in question.free.items()}
    best: dict[str, Placement] = {}
    least: list[int] = []
    for _round in range(ROUNDS):
        placed = _place_all(question, pressing, keep=keep)
        figures = [figure_of(aim, question, placed) for aim in aims]
        if not least or figures < least:
            best, least = placed, figures
        if not _press(question, placed, pressing) or not goes_on(least[aims.index(Aim.LATE)]):
            break
    return best


def filled(question: Question, placed: Mapping[str, Placement]) -> dict[str, Placement]:
    """The same plan, with jobs left out put where there is room for them after all."""
    placing = Placing(question)
    placing.put_all(placed)
    fill(placing, {key: float(job.weight) for key, job in question.free.items()})
    return placing.placed


def fill(placing: Placing, pressing: Mapping[str, float]) -> None:
    """Place every job that has none yet and fits beside those placed, the pressing ones first."""
    question = placing.question
    waiting = [job for job in _in_order(question, pressing) if job.key not in placing.placed]
    stuck: set[str] = set()
    while job := next(
        (one for one in waiting if one.key not in stuck and placing.has_leaders(one)), None
    ):
        place = placing.best_place(job)
        if place is None:
            stuck.add(job.key)
        else:
            placing.put(job, place)
            waiting.remove(job)


def _place_all(
    question: Question, pressing: Mapping[str, float], *, keep: bool
) -> dict[str, Placement]:
    placing = Placing(question)
    if keep:
        _stay(placing)
    fill(placing, pressing)
    # What stayed though a job it waits for found no place cannot stay after all.
    while lost := [one for one in placing.placed if not placing.has_leaders(question.free[one])]:
        for key in lost:
            placing.lift(question.free[key])
    return placing.placed


def _stay(placing: Placing) -> None:
    question = placing.question
    for key in sorted(question.present_slots, key=lambda key: (-question.free[key].weight, key)):
        job, place = question.free[key], question.present[key]
        if placing.may_stand(job, place):
            placing.put(job, place)


def _press(question: Question, placed: Mapping[str, Placement], pressing: dict[str, float]) -> bool:
    """Make what came off badly more pressing; whether there was anything."""
    badly = [
        job
        for key, job in question.free.items()
        if question.slots[key] and lateness_of(job, placed.get(key))
    ]
    for job in badly:
        pressing[job.key] += lateness_of(job, placed.get(job.key))
    return bool(badly)


def _in_order(question: Question, pressing: Mapping[str, float]) -> list[Job]:
    passed_on = _passed_on(question, pressing)
    return sorted(
        question.free.values(),
        key=lambda job: (
            -passed_on[job.key],
            float("inf") if job.latest is None else job.latest,
            -job.minutes * job.people,
            job.key,
        ),
    )


def _passed_on(question: Question, pressing: Mapping[str, float]) -> dict[str, float]:
    """A job presses as much as the most pressing one that waits for it, down the whole line."""
    passed_on = dict(pressing)
    is_changing = True
    while is_changing:
        is_changing = False
        for key, followers in question.followers.items():
            most = max([passed_on[key], *(passed_on[one] for one in followers)])
            if most > passed_on[key]:
                passed_on[key], is_changing = most, True
    return passed_on
